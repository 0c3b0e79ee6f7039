package sizing

import (
	"fmt"
	"strings"

	"loopwright/grader/quantity"
)

// MostRooms is the most that a job may hold.
const MostRooms = 2000

// check says what a job lacks before it is sized.
func (j *Job) check() error {
	u := j.Units.Shown()
	var problems []string
	say := func(format string, args ...any) { problems = append(problems, fmt.Sprintf(format, args...)) }
	if len(j.Rooms) == 0 || len(j.Rooms) > MostRooms {
		say("a job has 1 to %d rooms, this one has %d", MostRooms, len(j.Rooms))
	}
	if !(j.Drop > 0) {
		say("the drop from supply to return must be above zero")
	}
	if !(j.Limits.Velocity > 0 && j.Limits.Friction > 0) {
		say("the limits of velocity and friction must be above zero")
	}
	if !(j.BoilerLoss.Coefficient > 0) || !(j.ValveDrop > 0) {
		say("the boiler's loss and the least drop of a balancing valve must be above zero")
	}
	seen := map[string]bool{}
	for i, r := range j.Rooms {
		switch {
		case r.ID == "":
			say("room %d has no name", i+1)
		case seen[r.ID]:
			say("room %s is there twice", r.ID)
		}
		seen[r.ID] = true
		if !(r.Load > 0) {
			say("room %s: its load must be above zero", r.ID)
		}
		if !(r.Distance >= 0 && r.Branch >= 0) {
			say("room %s: its distances must be zero or more", r.ID)
		}
		if r.Indoor >= j.Supply-quantity.Celsius(j.Drop) {
			say("room %s: the return water, %s, is no warmer than the room, %s", r.ID, quantity.FromSI(float64(j.Supply)-float64(j.Drop), u.Temperature).Text(), quantity.FromSI(float64(r.Indoor), u.Temperature).Text())
		}
		if r.Indoor <= j.Outdoor {
			say("room %s is no warmer than the outdoor design temperature", r.ID)
		}
	}
	if len(problems) > 0 {
		return fmt.Errorf("sizing: %s", strings.Join(problems, "; "))
	}
	return nil
}
