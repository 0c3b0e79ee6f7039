package exercises

var twoPipeFamilies = []*Family{}
