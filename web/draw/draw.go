// Package draw turns the charts of package figure into SVG. Every drawing has
// a title and a description for those who do not see it; the page sets the
// figure's table beside it. Colors come from the style sheet's classes, except
// the ramp of water temperature, which is computed.
package draw

import (
	"fmt"
	"html"
	"html/template"
	"math"
	"strings"

	"loopwright/grader/quantity"
	"loopwright/lessons/figure"
)

// The drawing area, in units of the view box. It is narrow, so that 13 units
// of lettering stay readable when the drawing is as wide as a phone.
const (
	width  = 440.0
	height = 320.0
	left   = 46.0
	right  = 424.0
	top    = 34.0
	bottom = 252.0
)

// SVG draws a solved figure. id is unique in the page.
func SVG(id, title string, r *figure.Result) template.HTML {
	c := &canvas{}
	h := height
	switch chart := r.Chart.(type) {
	case *figure.MainsChart:
		c.mains(chart)
	case *figure.CascadeChart:
		h = c.cascade(chart)
	case *figure.LineChart:
		h = c.lines(chart)
	}
	return template.HTML(fmt.Sprintf(`<svg viewBox="0 0 %g %g" role="img" aria-labelledby="%s-t %s-d" focusable="false"><title id="%s-t">%s</title><desc id="%s-d">%s</desc>%s</svg>`, // #nosec: every text is escaped
		width, h, id, id, id, html.EscapeString(title), id, html.EscapeString(r.Sentence), c.String()))
}

// canvas collects SVG elements.
type canvas struct{ strings.Builder }

func (c *canvas) line(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(c, `<line class="%s" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, class, x1, y1, x2, y2)
}

func (c *canvas) text(class, anchor string, x, y float64, s string) {
	fmt.Fprintf(c, `<text class="%s" text-anchor="%s" x="%.1f" y="%.1f">%s</text>`, class, anchor, x, y, html.EscapeString(s))
}

func (c *canvas) polyline(class string, points []xy) { c.shape("polyline", class, points) }
func (c *canvas) polygon(class string, points []xy)  { c.shape("polygon", class, points) }

func (c *canvas) shape(element, class string, points []xy) {
	fmt.Fprintf(c, `<%s class="%s" points="`, element, class)
	for i, p := range points {
		if i > 0 {
			c.WriteByte(' ')
		}
		fmt.Fprintf(c, "%.1f,%.1f", p.x, p.y)
	}
	c.WriteString(`"/>`)
}

// chip is a value on a small plate, so that lines do not run through it.
func (c *canvas) chip(x, y float64, s string) {
	w := 10 + 7.2*float64(len([]rune(s)))
	fmt.Fprintf(c, `<rect class="d-chip" x="%.1f" y="%.1f" width="%.1f" height="22" rx="4"/>`, x-w/2, y-11, w)
	c.text("d-value", "middle", x, y+4.5, s)
}

type xy struct{ x, y float64 }

// axis maps values to the drawing.
type axis struct{ from, to, low, high float64 }

func (a axis) at(v float64) float64 {
	return a.from + (a.to-a.from)*(v-a.low)/(a.high-a.low)
}

// ticks are round values from low to high, about n of them.
func ticks(low, high float64, n int) []float64 {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(n))))
	for _, m := range []float64{1, 2, 2.5, 5, 10} {
		if (high-low)/(m*step) <= float64(n) {
			step *= m
			break
		}
	}
	var list []float64
	for i := math.Ceil(low/step - 1e-9); i*step <= high+1e-9*step; i++ {
		list = append(list, i*step)
	}
	return list
}

func figures(v float64) string { return quantity.Of(v, quantity.One).Figures() }

// short writes large axis values as 60k.
func short(v float64) string {
	if math.Abs(v) >= 10000 {
		return figures(v/1000) + "k"
	}
	return figures(v)
}

// grid draws horizontal lines with their values.
func (c *canvas) grid(y axis, label string) {
	for _, v := range ticks(y.low, y.high, 5) {
		c.line("d-grid", left, y.at(v), right, y.at(v))
		c.text("d-tick", "end", left-6, y.at(v)+4.5, short(v))
	}
	c.text("d-tick", "start", 8, 16, label)
}

func (c *canvas) mains(m *figure.MainsChart) {
	highest := m.Source
	y := axis{bottom, top, 0, highest * 1.05}
	c.grid(y, "pressure, "+m.Unit)
	n := len(m.Circuits)
	x := func(i int) float64 { return left + (right-left-26)*float64(i+1)/float64(n) }
	supply, back := []xy{{left, y.at(m.Source)}}, []xy{{left, y.at(0)}}
	for i, t := range m.Circuits {
		supply = append(supply, xy{x(i), y.at(t.Supply)})
		back = append(back, xy{x(i), y.at(t.Return)})
	}
	if m.Reverse {
		back = back[1:] // the return starts at the first take-off and runs home behind the last
	}
	band := append([]xy{}, supply...)
	for i := len(back) - 1; i >= 0; i-- {
		band = append(band, back[i])
	}
	c.polygon("d-between", band)
	for i, t := range m.Circuits {
		class := "d-diff"
		if i == m.Picked {
			class = "d-diff pick"
		}
		c.line(class, x(i), y.at(t.Supply), x(i), y.at(t.Return))
	}
	c.polyline("d-supply", supply)
	c.polyline("d-return", back)
	for i, t := range m.Circuits {
		c.chip(x(i), y.at((t.Supply+t.Return)/2), figures(t.Supply-t.Return))
		c.text("d-tick", "middle", x(i), bottom+22, fmt.Sprint(i+1))
		c.text("d-sub", "middle", x(i), bottom+41, figures(t.Flow))
	}
	c.text("d-tick", "end", left-6, bottom+22, "floor")
	c.text("d-tick", "end", left-6, bottom+41, m.FlowUnit)
	last := m.Circuits[n-1]
	c.text("d-name supply", "end", right+10, y.at(last.Supply)-8, "supply")
	c.text("d-name return", "end", right+10, y.at(last.Return)+18, "return")
}

// lines draws curves with a legend below, and returns the height.
func (c *canvas) lines(l *figure.LineChart) float64 {
	x, y := axis{left, right, 0, l.XMax}, axis{bottom, top, 0, l.YMax * 1.04}
	c.grid(y, l.YLabel)
	c.line("d-axis", left, bottom, right, bottom)
	for _, v := range ticks(0, l.XMax, 6) {
		c.line("d-axis", x.at(v), bottom, x.at(v), bottom+4)
		c.text("d-tick", "middle", x.at(v), bottom+18, figures(v))
	}
	c.text("d-tick", "end", right, bottom+36, l.XLabel)
	for i, s := range l.Lines {
		var points []xy
		for j := range s.X {
			points = append(points, xy{x.at(s.X[j]), y.at(s.Y[j])})
		}
		c.polyline("d-line "+s.Role, points)
		// A legend line with a sample of the stroke: the same by shape as by
		// color.
		ly := bottom + 54 + 18*float64(i/2)
		lx := left + 190*float64(i%2)
		c.line("d-line "+s.Role, lx, ly-4, lx+28, ly-4)
		c.text("d-name "+s.Role, "start", lx+34, ly, s.Name)
	}
	for _, p := range l.Points {
		px, py := x.at(p.X), y.at(p.Y)
		fmt.Fprintf(c, `<circle class="d-point" cx="%.1f" cy="%.1f" r="6"/>`, px, py)
		half := 5 + 3.6*float64(len([]rune(p.Name)))
		c.chip(min(max(px, left+half), right-half), max(py-22, top-8), p.Name)
	}
	return bottom + 62 + 18*float64((len(l.Lines)-1)/2)
}

// cascade draws the loop as a column of stops, the main colored by its
// temperature, and returns its height.
func (c *canvas) cascade(k *figure.CascadeChart) float64 {
	const mainX, pitch, first = 76.0, 48.0, 52.0
	low, high := k.Supply, k.Supply
	for _, s := range k.Stops {
		low = min(low, s.After, s.Leaving)
	}
	if high-low < 1 {
		low = high - 1
	}
	value := func(t float64) string {
		return quantity.Of(t, quantity.Fahrenheit).Figures() + " " + k.Unit // one decimal, as a thermometer
	}
	c.text("d-tick", "start", 8, 16, "from the boiler")
	c.text("d-value", "end", mainX-12, first-12, value(k.Supply))
	y := first - 24
	for _, s := range k.Stops {
		c.pipe(mainX, y, mainX, y+pitch, ramp((s.Entering-low)/(high-low)))
		mid := y + pitch - 10
		c.line("d-axis", mainX, mid, mainX+52, mid)
		fmt.Fprintf(c, `<rect class="d-chip" x="%.1f" y="%.1f" width="286" height="34" rx="5"/>`, mainX+52, mid-17)
		c.text("d-sub", "start", mainX+62, mid+4.5, s.Name)
		if s.Leaving != s.After {
			c.text("d-tick", "start", mainX+132, mid+4.5, "out "+value(s.Leaving))
		}
		class, words := "d-sub", s.Share+" of need"
		if s.Short {
			class, words = "d-short", s.Share+", short"
		}
		c.text(class, "end", mainX+328, mid+4.5, words)
		c.text("d-value", "end", mainX-12, mid+26, value(s.After))
		y += pitch
	}
	c.pipe(mainX, y, mainX, y+24, ramp((k.Stops[len(k.Stops)-1].After-low)/(high-low)))
	c.text("d-tick", "start", mainX+14, y+24, "back to the boiler")
	return y + 40
}

func (c *canvas) pipe(x1, y1, x2, y2 float64, color string) {
	fmt.Fprintf(c, `<line class="d-pipe" stroke="%s" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, color, x1, y1, x2, y2)
}

// ramp is the color of water from cool (0) to hot (1): from blue over mauve to
// orange, rising in redness all the way, so that it orders for the color-blind
// too. The value always stands beside it.
func ramp(t float64) string {
	t = min(max(t, 0), 1)
	stops := [3][3]float64{{58, 121, 188}, {150, 104, 158}, {209, 88, 46}}
	i := min(int(2*t), 1)
	f := 2*t - float64(i)
	mix := func(k int) int { return int(stops[i][k] + f*(stops[i+1][k]-stops[i][k]) + 0.5) }
	return fmt.Sprintf("#%02x%02x%02x", mix(0), mix(1), mix(2))
}
