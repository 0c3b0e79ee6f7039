package exercises

var circulatorFamilies = []*Family{}
