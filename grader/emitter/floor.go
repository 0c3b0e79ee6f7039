package emitter

import (
	"math"

	"loopwright/grader/quantity"
)

// The basic characteristic of a heated floor. Source: EN 1264-2.
const (
	floorCoefficient = 8.92
	floorExponent    = 1.1
	floorHighest     = 15 // K, the largest excess the standard allows (edge strip)
)

// Zone is a part of a floor with its own limit of surface temperature.
type Zone struct {
	Name    string
	Surface quantity.Celsius // warmest allowed
	Room    quantity.Celsius // of the limit
}

// Zones of EN 1264-2. Source: EN 1264-2/-3 limits as summarized on a radiant
// system maker's technical page and in a public floor-heating design note.
var (
	Occupied   = Zone{"occupied floor", 29, 20}
	Peripheral = Zone{"edge strip up to 1 m wide", 35, 20}
	Bathroom   = Zone{"bathroom floor", 33, 24}
)

// FloorOutput is the heat that a floor gives off by its mean surface
// temperature.
//
//	q = 8.92 (θ_F − θ_room)^1.1
//
// °C, result in W/m². Excess 0 to 15 K, else a *quantity.RangeError. Source:
// EN 1264-2, basic characteristic.
func FloorOutput(surface, room quantity.Celsius) (float64, error) {
	excess := float64(surface - room)
	if !(excess >= 0 && excess <= floorHighest) {
		return 0, &quantity.RangeError{Quantity: "floor surface above the room", Value: excess, Low: 0, High: floorHighest, Unit: "K"}
	}
	return floorCoefficient * math.Pow(excess, floorExponent), nil
}

// FloorSurface is the mean surface temperature at which a floor gives off q
// W/m², in °C: the inverse of [FloorOutput], with the same range.
func FloorSurface(q float64, room quantity.Celsius) (quantity.Celsius, error) {
	most := floorCoefficient * math.Pow(floorHighest, floorExponent)
	if !(q >= 0 && q <= most) {
		return 0, &quantity.RangeError{Quantity: "floor output", Value: q, Low: 0, High: most, Unit: "W/m²"}
	}
	return room.Plus(quantity.Kelvin(math.Pow(q/floorCoefficient, 1/floorExponent))), nil
}

// Limit is the most heat a zone may give off, in W/m²: its output at the
// warmest surface allowed and the room temperature of that limit.
func (z Zone) Limit() float64 {
	return floorCoefficient * math.Pow(float64(z.Surface-z.Room), floorExponent)
}

// Allows says whether a zone's surface may be so warm; a *quantity.RangeError
// if not.
func (z Zone) Allows(surface quantity.Celsius) error {
	if !(surface <= z.Surface) {
		return &quantity.RangeError{Quantity: "surface temperature (" + z.Name + ")", Value: float64(surface), Low: float64(z.Room), High: float64(z.Surface), Unit: "°C"}
	}
	return nil
}
