package exercises

import "slices"

// families is every family, in the order of the curriculum.
var families = slices.Concat(
	heatFamilies,
	pipeFamilies,
	emitterFamilies,
	loopFamilies,
	twoPipeFamilies,
	differenceFamilies,
	circulatorFamilies,
	balanceFamilies,
	controlFamilies,
	pressureFamilies,
	plantFamilies,
)
