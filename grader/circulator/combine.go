package circulator

import "fmt"

// Series is circulators one after the other: the same flow, heads added.
//
//	H(Q) = Σ H_i(Q),  P(Q) = Σ P_i(Q)
//
// It ends where the first of them ends. No circulators is an error. Source:
// Hydraulic Institute.
func Series(curves ...Curve) (Curve, error) {
	if len(curves) == 0 {
		return Curve{}, fmt.Errorf("circulator: no circulators to put in series")
	}
	out := Curve{end: curves[0].end}
	powered := true
	for _, c := range curves {
		out.shutoff += c.shutoff
		out.end = min(out.end, c.end)
		powered = powered && c.Powered()
	}
	out.head = func(q float64) (head, slope float64) {
		for _, c := range curves {
			h, s := c.head(q)
			head, slope = head+h, slope+s
		}
		return head, slope
	}
	if powered {
		out.power = func(q float64) (sum float64) {
			for _, c := range curves {
				sum += c.power(q)
			}
			return sum
		}
	}
	return out, nil
}

// Parallel is circulators side by side, each with a check valve: the same head,
// flows added. One whose shutoff head lies below the common head passes
// nothing.
//
//	Q(H) = Σ Q_i(H),  P = Σ P_i(Q_i)
//
// It begins at the highest shutoff head and ends where the first of them comes
// to the end of its curve. No circulators is an error. Source: Hydraulic
// Institute.
func Parallel(curves ...Curve) (Curve, error) {
	if len(curves) == 0 {
		return Curve{}, fmt.Errorf("circulator: no circulators to put in parallel")
	}
	out := Curve{}
	powered := true
	lowest := 0.0 // the highest of the heads at which the curves end
	for _, c := range curves {
		out.shutoff = max(out.shutoff, c.shutoff)
		h, _ := c.head(c.end)
		lowest = max(lowest, h)
		powered = powered && c.Powered()
	}
	for _, c := range curves {
		out.end += c.flowAt(lowest)
	}
	// common finds the head at which the flows add up to q: the sum falls
	// with the head.
	common := func(q float64) float64 {
		low, high := lowest, out.shutoff
		for range 200 {
			h := low + (high-low)/2
			if h == low || h == high {
				break
			}
			sum := 0.0
			for _, c := range curves {
				sum += c.flowAt(h)
			}
			if sum > q {
				low = h
			} else {
				high = h
			}
		}
		return low + (high-low)/2
	}
	out.head = func(q float64) (head, slope float64) {
		h := common(q)
		give := 0.0 // Σ dQ_i/dH
		for _, c := range curves {
			if h > c.shutoff {
				continue
			}
			_, s := c.head(c.flowAt(h))
			if s == 0 {
				return h, 0
			}
			give += 1 / s
		}
		if give == 0 {
			return h, 0
		}
		return h, 1 / give
	}
	if powered {
		out.power = func(q float64) (sum float64) {
			h := common(q)
			for _, c := range curves {
				sum += c.power(c.flowAt(h))
			}
			return sum
		}
	}
	return out, nil
}

// flowAt is the flow at a head: 0 above shutoff, the end of the curve below
// its last head. Where the curve is flat any flow of the flat would do.
func (c Curve) flowAt(head float64) float64 {
	if head >= c.shutoff {
		return 0
	}
	low, high := 0.0, c.end
	if h, _ := c.head(high); head <= h {
		return high
	}
	for range 200 {
		q := low + (high-low)/2
		if q == low || q == high {
			break
		}
		if h, _ := c.head(q); h > head {
			low = q
		} else {
			high = q
		}
	}
	return low + (high-low)/2
}
