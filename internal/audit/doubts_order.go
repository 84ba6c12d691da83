package audit

import (
	"cmp"
	"slices"

	"auditgen/internal/site"
	"auditgen/internal/source"
)

// settleDoubts puts the doubts in the order in which a technician would take the
// readings again, and leaves out what only follows from a mistake that has its
// name already. Danger comes first; then the boards, the one on which most
// doubtful energy rests first, so that one walk suffices; on a board the reading
// on which most rests.
func (r *Result) settleDoubts() {
	rests := r.energyResting()
	r.Doubts = slices.DeleteFunc(r.Doubts, func(d Doubt) bool {
		return d.ID == "reading-above-expected-demand" && r.explained(d.Reading)
	})
	byBoard := map[string]float64{}
	board := map[string]string{}
	place := map[string]int{}
	for i, rd := range r.Readings {
		board[rd.ID], place[rd.ID] = rd.Point, i
	}
	counted := map[string]bool{}
	for _, d := range r.Doubts {
		if !counted[d.Reading] {
			counted[d.Reading] = true
			byBoard[board[d.Reading]] += rests[d.Reading]
		}
	}
	walk := walkOrder(r.Record.Site.Points)
	slices.SortStableFunc(r.Doubts, func(a, b Doubt) int {
		x, y := board[a.Reading], board[b.Reading]
		return cmp.Or(
			-compareBool(a.Safety, b.Safety),
			cmp.Compare(byBoard[y], byBoard[x]),
			cmp.Compare(walk[x], walk[y]),
			cmp.Compare(rests[b.Reading], rests[a.Reading]),
			cmp.Compare(place[a.Reading], place[b.Reading]),
		)
	})
	for i := range r.Readings {
		r.Readings[i].Doubts = about(r.Doubts, r.Readings[i].ID)
	}
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// explained tells whether a doubt with a named cause spoils a reading, or one
// that a load rests on: then the sums need not meet.
func (r *Result) explained(reading string) bool {
	rests := r.energyResting()
	return slices.ContainsFunc(r.Doubts, func(d Doubt) bool {
		return d.Severe && (d.Reading == reading || rests[d.Reading] > 0)
	})
}

// energyResting is the year's energy in kWh that rests on each reading.
func (r *Result) energyResting() map[string]float64 {
	rests := map[string]float64{}
	for _, l := range r.Loads {
		for _, id := range l.Readings {
			rests[id] += l.Energy.Value / float64(len(l.Readings))
		}
	}
	return rests
}

// walkOrder numbers the points as one walks them: each board, then what it feeds.
func walkOrder(points source.Map[site.Point]) map[string]int {
	order := map[string]int{}
	var visit func(from string)
	visit = func(from string) {
		for _, p := range points {
			if p.Value.From.Value == from && (from != "" || !p.Value.From.IsSet()) {
				order[p.Key] = len(order) + 1
				visit(p.Key)
			}
		}
	}
	visit("")
	return order
}
