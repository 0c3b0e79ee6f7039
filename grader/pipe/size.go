package pipe

import (
	"embed"
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"loopwright/grader/quantity"
)

//go:embed materials.csv sizes.csv fittings.csv
var tables embed.FS

// Material is one kind of pipe with its table of sizes.
type Material struct {
	ID               string  // steel-sch40, copper-m, …
	Name             string  // for people
	Roughness        float64 // absolute, m
	DimensionsSource string
	RoughnessSource  string
	sizes            []Size
}

// Size is one size of one material. Lengths are in m.
type Size struct {
	Material  *Material
	Nominal   string // 1-1/4, 28x1.2, DN25
	DN        int    // nominal diameter in mm, the nearest of ISO 6708
	Outside   float64
	Wall      float64
	Bore      float64 // inside diameter
	Roughness float64
}

// Label is the size as a person writes it: "1-1/4 in", "28 × 1.2 mm", "DN 25".
func (s Size) Label() string {
	switch {
	case strings.HasPrefix(s.Nominal, "DN"):
		return "DN\u00a0" + s.Nominal[2:]
	case strings.Contains(s.Nominal, "x"):
		return strings.Replace(s.Nominal, "x", "\u00a0×\u00a0", 1) + "\u00a0mm"
	}
	return s.Nominal + "\u00a0in"
}

// Area is the area of the bore in m².
func (s Size) Area() float64 { return area(s.Bore) }

// VolumePerLength is the water in a meter of pipe, m³/m.
func (s Size) VolumePerLength() float64 { return area(s.Bore) }

var materials = load()

// Materials lists every kind of pipe.
func Materials() []*Material { return materials }

// Sizes lists the sizes of a material, smallest first.
func (m *Material) Sizes() []Size { return m.sizes }

// NotFoundError says that a table has no such entry, and what it has.
type NotFoundError struct {
	What, Name string
	Known      []string
}

func (e *NotFoundError) Error() string {
	return fmt.Sprintf("no %s %q; known are %s", e.What, e.Name, strings.Join(e.Known, ", "))
}

// MaterialNamed finds a material by its id.
func MaterialNamed(id string) (*Material, error) {
	i := slices.IndexFunc(materials, func(m *Material) bool { return m.ID == id })
	if i >= 0 {
		return materials[i], nil
	}
	known := make([]string, len(materials))
	for i, m := range materials {
		known[i] = m.ID
	}
	return nil, &NotFoundError{"pipe material", id, known}
}

// Find finds a size: Find("copper-m", "3/4"). The nominal size may be written
// 1-1/4, 1 1/4, 1¼ or with "in" behind; metric ones 28x1.2, 28 × 1.2 mm or
// DN 25.
func Find(material, nominal string) (Size, error) {
	m, err := MaterialNamed(material)
	if err != nil {
		return Size{}, err
	}
	want := foldNominal(nominal)
	for _, s := range m.sizes {
		if foldNominal(s.Nominal) == want {
			return s, nil
		}
	}
	known := make([]string, len(m.sizes))
	for i, s := range m.sizes {
		known[i] = s.Nominal
	}
	return Size{}, &NotFoundError{m.Name + " of size", nominal, known}
}

// MustFind is Find for sizes that the program itself names; it panics on an
// unknown one.
func MustFind(material, nominal string) Size {
	s, err := Find(material, nominal)
	if err != nil {
		panic(err)
	}
	return s
}

var nominalFolder = strings.NewReplacer("¼", "-1/4", "½", "-1/2", "¾", "-3/4", "⅜", "-3/8", "⅝", "-5/8", "×", "x", "\"", "", "\u00a0", " ")

func foldNominal(s string) string {
	s = strings.ToLower(strings.TrimSpace(nominalFolder.Replace(s)))
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(s, "inch"), "mm"), "in"))
	if strings.HasPrefix(s, "dn") || strings.Contains(s, "x") {
		return strings.ReplaceAll(s, " ", "")
	}
	return strings.TrimPrefix(strings.Join(strings.Fields(s), "-"), "-")
}

// load reads the embedded tables. A mistake in them is a programmer's error:
// it panics at start.
func load() []*Material {
	var list []*Material
	for _, r := range rows("materials.csv") {
		list = append(list, &Material{ID: r[0], Name: r[1], Roughness: number(r[2]) / 1000, DimensionsSource: r[3], RoughnessSource: r[4]})
	}
	for _, r := range rows("sizes.csv") {
		i := slices.IndexFunc(list, func(m *Material) bool { return m.ID == r[0] })
		if i < 0 {
			panic("pipe: sizes.csv names material " + r[0])
		}
		m := list[i]
		dn, err := strconv.Atoi(r[2])
		unit := quantity.UnitNamed(r[6], quantity.Length)
		if err != nil || unit == nil {
			panic(fmt.Sprintf("pipe: sizes.csv: %v", r))
		}
		m.sizes = append(m.sizes, Size{Material: m, Nominal: r[1], DN: dn, Roughness: m.Roughness,
			Outside: unit.ToSI(number(r[3])), Wall: unit.ToSI(number(r[4])), Bore: unit.ToSI(number(r[5]))})
	}
	return list
}

func rows(file string) [][]string {
	f, err := tables.Open(file)
	if err != nil {
		panic(err)
	}
	defer func() { _ = f.Close() }()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic(err)
	}
	return all[1:]
}

func number(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return x
}
