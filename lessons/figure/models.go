package figure

// models is every figure.
var models = []*Model{heatCarried, pipeLimits, loopCascade, twoPipeMains, circulatorAndSystem, separator}
