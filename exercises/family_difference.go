package exercises

var differenceFamilies = []*Family{}
