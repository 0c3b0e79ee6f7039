package exercises

var emitterFamilies = []*Family{}
