package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// MaxText is the most text, in bytes, that Read looks at.
const MaxText = 64

// largest is the largest number that Read takes, and one over it the smallest:
// wide enough for any quantity of the trade in any unit, narrow enough that
// every number read can be printed in full.
const largest = 1e12

// Reading is what a typed text was understood to say.
type Reading struct {
	Quantity Quantity
	Number   float64 // as typed, before conversion; "450k" is 450000
	Figures  int     // significant figures typed; trailing zeros of a whole number do not count
	Bare     bool    // no unit was typed: the unit asked for was taken
}

// ReadError says why a text is not a quantity of the kind that is wanted, and
// what would be.
type ReadError struct {
	Text   string
	Reason string
	Want   Kind
}

func (e *ReadError) Error() string {
	shown := e.Text
	if len(shown) > MaxText {
		shown = strings.ToValidUTF8(shown[:MaxText], "") + "…"
	}
	return fmt.Sprintf("cannot read %q as %s: %s; type for example %s", shown, e.Want, e.Reason, e.Want.Example())
}

// Read turns typed text into a quantity. A text without a unit is taken in the
// unit asked for; a text with a unit of another kind gives that other kind (a
// head where a pressure was asked), so that the caller can say what is wrong.
//
// Numbers may be written 1200, 1,200, 1 200, 1'200, 1,5, 1.5, 1/2, 1 1/4,
// 1-1/4, 1¼, 1.2e3, 450k. A comma followed by exactly three figures marks
// thousands, unless the number starts with 0; any other single comma is a
// decimal comma.
func Read(text string, asked *Unit) (Reading, error) {
	fail := func(reason string) (Reading, error) {
		return Reading{}, &ReadError{text, reason, asked.Kind}
	}
	if len(text) > MaxText {
		return fail(fmt.Sprintf("it is longer than %d characters", MaxText))
	}
	s := strings.TrimSpace(text)
	if s == "" {
		return fail("nothing was typed")
	}
	if !utf8.ValidString(s) {
		return fail("it holds characters that are not text")
	}
	number, figures, rest, reason := readNumber(s)
	if reason != "" {
		return fail(reason)
	}
	unit, thousand, ok := readUnit(rest, asked)
	if !ok {
		return fail(fmt.Sprintf("%q is not a unit known here", strings.TrimSpace(rest)))
	}
	if thousand {
		number *= 1000
	}
	if size := math.Abs(number); size > largest || size != 0 && size < 1/largest {
		return fail("no answer in this trade is so large or so small")
	}
	bare := unit == nil
	if bare {
		unit = asked
	}
	return Reading{Quantity: Of(number, unit), Number: number, Figures: figures, Bare: bare}, nil
}

// readUnit resolves the text behind a number. A unit of the kind asked for
// wins over others that are written the same. A leading k multiplies: "450k".
func readUnit(text string, asked *Unit) (u *Unit, thousand, ok bool) {
	f := fold(text)
	if f == "" {
		return nil, false, true
	}
	degrees := asked.Kind == Temperature || asked.Kind == TemperatureDifference
	if f == "k" && !degrees {
		return nil, true, true
	}
	if u := resolve(f, asked); u != nil {
		return u, false, true
	}
	if rest, found := strings.CutPrefix(f, "k"); found {
		if u := resolve(rest, asked); u != nil {
			return u, true, true
		}
	}
	return nil, false, false
}

func resolve(folded string, asked *Unit) *Unit {
	found := unitsByText[folded]
	if len(found) == 0 {
		found = unitsByText[strings.TrimSuffix(folded, ".")]
	}
	for _, u := range found {
		if u.Kind == asked.Kind {
			return u
		}
	}
	for _, u := range found {
		// Feet where a pressure is asked for are feet of head, not of pipe.
		if asked.Kind == Pressure && u.Kind == Head {
			return u
		}
	}
	if len(found) > 0 {
		return found[0]
	}
	return nil
}

var vulgar = map[rune]float64{
	'¼': 1.0 / 4, '½': 1.0 / 2, '¾': 3.0 / 4, '⅓': 1.0 / 3, '⅔': 2.0 / 3,
	'⅛': 1.0 / 8, '⅜': 3.0 / 8, '⅝': 5.0 / 8, '⅞': 7.0 / 8,
}

// readNumber takes the number off the front of s. It returns a reason where
// there is none.
func readNumber(s string) (number float64, figures int, rest, reason string) {
	sign := 1.0
	switch r, n := utf8.DecodeRuneInString(s); r {
	case '-', '−', '–':
		sign, s = -1, strings.TrimLeft(s[n:], spaces)
	case '+':
		s = strings.TrimLeft(s[n:], spaces)
	}
	if r, n := utf8.DecodeRuneInString(s); vulgar[r] != 0 {
		return sign * vulgar[r], 3, s[n:], ""
	}
	digits, rest := takeDigits(s)
	if digits == "" {
		return 0, 0, "", "it does not start with a number"
	}
	plain, ok := decimal(digits)
	if !ok {
		return 0, 0, "", fmt.Sprintf("the number %q has too many points or commas", digits)
	}
	if exp, after, found := takeExponent(rest); found {
		plain, rest = plain+exp, after
	}
	x, err := strconv.ParseFloat(plain, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, 0, "", "the number is too large"
	}
	figures = significant(plain)
	if fraction, after, found := takeFraction(x, rest); found {
		return sign * fraction, 3, after, ""
	}
	if strings.HasPrefix(rest, "/") && len(rest) > 1 && unicode.IsDigit(rune(rest[1])) {
		return 0, 0, "", "the fraction cannot be worked out"
	}
	return sign * x, figures, rest, ""
}

const spaces = " \t\u00a0\u202f\u2009"

// takeDigits takes figures with their marks: points, commas, apostrophes and
// single spaces that stand before a group of three figures.
func takeDigits(s string) (digits, rest string) {
	var b strings.Builder
	i := 0
	for i < len(s) {
		r, n := utf8.DecodeRuneInString(s[i:])
		next := s[i+n:]
		switch {
		case r >= '0' && r <= '9':
			b.WriteRune(r)
		case (r == '.' || r == ',') && (startsWithDigit(next) || b.Len() > 0):
			if !startsWithDigit(next) && r == ',' {
				return b.String(), s[i:]
			}
			b.WriteRune(r)
		case (r == '\'' || r == '’' || strings.ContainsRune(spaces, r)) && b.Len() > 0 && b.Len() <= 3+4*strings.Count(b.String(), "_") && groupOfThree(next):
			b.WriteByte('_')
		default:
			return b.String(), s[i:]
		}
		i += n
	}
	return b.String(), ""
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// groupOfThree says whether s starts with exactly three figures.
func groupOfThree(s string) bool {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n == 3 && !strings.HasPrefix(s[n:], "/")
}

// decimal turns figures with marks into a plain decimal number.
func decimal(digits string) (string, bool) {
	s := strings.ReplaceAll(digits, "_", "")
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	lastPoint, lastComma := strings.LastIndexByte(s, '.'), strings.LastIndexByte(s, ',')
	switch {
	case points == 0 && commas == 0:
		return s, true
	case points == 1 && commas == 0:
		return s, s != "."
	case points <= 1 && commas > 0 && (points == 0 || lastPoint > lastComma):
		// 1,200 or 1,234.5; a single comma that marks no thousands is decimal.
		whole := s
		frac := ""
		if points == 1 {
			whole, frac = s[:lastPoint], s[lastPoint:]
		}
		if thousands(whole, ",") {
			return strings.ReplaceAll(whole, ",", "") + frac, true
		}
		if points == 0 && commas == 1 {
			return strings.Replace(s, ",", ".", 1), true
		}
		return "", false
	case commas == 1 && lastComma > lastPoint:
		// 1.234,5
		if !thousands(s[:lastComma], ".") {
			return "", false
		}
		return strings.ReplaceAll(s[:lastComma], ".", "") + "." + s[lastComma+1:], true
	case commas == 0 && thousands(s, "."):
		return strings.ReplaceAll(s, ".", ""), true
	}
	return "", false
}

// thousands says whether mark stands only before groups of three figures.
func thousands(s, mark string) bool {
	groups := strings.Split(s, mark)
	if len(groups) < 2 || len(groups[0]) == 0 || len(groups[0]) > 3 || groups[0][0] == '0' {
		return false
	}
	for _, g := range groups[1:] {
		if len(g) != 3 {
			return false
		}
	}
	return true
}

// takeExponent takes "e3", "E-4" or "e+3".
func takeExponent(s string) (exponent, rest string, found bool) {
	if s == "" || (s[0] != 'e' && s[0] != 'E') {
		return "", s, false
	}
	i := 1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	j := i
	for j < len(s) && s[j] >= '0' && s[j] <= '9' {
		j++
	}
	if j == i {
		return "", s, false
	}
	return s[:j], s[j:], true
}

// takeFraction reads the fraction that may follow a whole number: "/2",
// " 1/4", "-1/4", "¼".
func takeFraction(x float64, s string) (value float64, rest string, found bool) {
	if x != math.Trunc(x) || x < 0 || x > 1e6 {
		return 0, s, false
	}
	if after, ok := strings.CutPrefix(s, "/"); ok {
		if d, rest, ok := takeWhole(after); ok && d != 0 {
			return x / d, rest, true
		}
		return 0, s, false
	}
	trimmed := strings.TrimLeft(s, spaces)
	if r, n := utf8.DecodeRuneInString(trimmed); vulgar[r] != 0 {
		return x + vulgar[r], trimmed[n:], true
	}
	trimmed = strings.TrimPrefix(trimmed, "-")
	n, after, ok := takeWhole(trimmed)
	if !ok || !strings.HasPrefix(after, "/") {
		return 0, s, false
	}
	d, rest, ok := takeWhole(after[1:])
	if !ok || d == 0 || n >= d {
		return 0, s, false
	}
	return x + n/d, rest, true
}

func takeWhole(s string) (value float64, rest string, ok bool) {
	i := 0
	for i < len(s) && i < 6 && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	if i == 0 {
		return 0, s, false
	}
	v, _ := strconv.Atoi(s[:i])
	return float64(v), s[i:], true
}

// significant counts the significant figures of a plain decimal number. The
// trailing zeros of a whole number are place holders and do not count.
func significant(plain string) int {
	mantissa, _, _ := strings.Cut(strings.ToLower(plain), "e")
	if !strings.Contains(mantissa, ".") {
		mantissa = strings.TrimRight(mantissa, "0")
	}
	n := len(strings.TrimLeft(strings.Replace(mantissa, ".", "", 1), "0"))
	return max(n, 1)
}

// ReadUnit is the symbol of the unit in which a text was read.
func (r Reading) ReadUnit() string { return r.Quantity.Unit.Symbol }
