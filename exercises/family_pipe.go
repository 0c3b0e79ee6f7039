package exercises

var pipeFamilies = []*Family{}
