package exercises

var loopFamilies = []*Family{}
