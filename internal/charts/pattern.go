package charts

import (
	"math"
	"strconv"
)

const (
	paper  = "var(--paper)"
	ink    = "var(--ink)"
	ink2   = "var(--ink2)"
	rule   = "var(--rule)"
	rule2  = "var(--rule2)"
	barInk = "var(--bar)"
	over   = "var(--over)"
)

func seriesColour(i int) string { return "var(--c" + strconv.Itoa(i+1) + ")" }
func rampColour(i int) string   { return "var(--q" + strconv.Itoa(i) + ")" }

// decal is a pattern laid over a colour, in the drawing library's terms.
type decal struct {
	Symbol     string  `json:"symbol"`
	Color      string  `json:"color"`
	DashArrayX []int   `json:"dashArrayX"`
	DashArrayY []int   `json:"dashArrayY"`
	Rotation   float64 `json:"rotation"`
	SymbolSize float64 `json:"symbolSize"`
}

func lines(thick, gap int, turn float64) *decal {
	return &decal{Symbol: "rect", Color: paper, SymbolSize: 1,
		DashArrayX: []int{1, 0}, DashArrayY: []int{thick, gap}, Rotation: turn}
}

func grid(symbol string, thick, gap int, turn float64) *decal {
	return &decal{Symbol: symbol, Color: paper, SymbolSize: 1,
		DashArrayX: []int{thick, gap}, DashArrayY: []int{thick, gap}, Rotation: turn}
}

// hatch marks what is over its limit.
func hatch() *decal { return lines(1, 3, -math.Pi/4) }

// seriesPattern returns the pattern that goes with a series colour; the first
// series is solid.
func seriesPattern(i int) *decal {
	switch i {
	case 1:
		return lines(1, 4, -math.Pi/4)
	case 2:
		return grid("circle", 2, 3, math.Pi/4)
	case 3:
		return lines(1, 4, math.Pi/4)
	case 4:
		return lines(1, 3, 0)
	case 5:
		return lines(1, 3, math.Pi/2)
	case 6:
		return grid("circle", 3, 5, 0)
	case 7:
		return lines(2, 3, math.Pi/4)
	}
	return nil
}

// dashes tell lines apart without colour: of series, and of limits.
var dashes = []any{"solid", []int{6, 3}, []int{2, 2}, []int{8, 2, 2, 2}, []int{10, 4}, []int{4, 2}, []int{1, 3}, []int{12, 3, 3, 3}}

func limitDash(i int) any {
	return [][]int{{4, 3}, {1, 2}, {8, 3}, {8, 2, 2, 2}}[i%4]
}
