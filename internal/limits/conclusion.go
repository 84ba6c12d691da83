package limits

// Conclusion is what one reading says against a limit, in whole sentences.
type Conclusion struct {
	Can    string // what it shows
	Cannot string // what it does not show
	Settle string // what would
}

// Conclude words what one reading can and cannot conclude against the limit cited,
// from whether it stands above (outside, for a band) the limit's figure. No limit
// with a statistic of its own is said to be met or broken by a reading.
func (c Citation) Conclude(above bool) Conclusion {
	side := "within"
	if above {
		side = "outside"
	}
	figure := "The reading stands " + side + " the figure of " + c.Text() + "."
	switch c.Reach {
	case Period:
		return Conclusion{
			Can:    figure,
			Cannot: "The limit is defined over " + c.Statistic + ": one reading neither breaks nor meets it.",
			Settle: "A logger at " + c.Place + ", over that time, would settle it.",
		}
	case Level:
		return Conclusion{
			Can:    figure,
			Cannot: "The figure is a level to plan a whole network by, not a limit at one place.",
			Settle: "The limit that the supplier or the local code sets for this place would settle it.",
		}
	case TypeTest:
		return Conclusion{
			Can:    figure,
			Cannot: "The limit binds a product in a laboratory, on a supply without distortion, not an installation.",
			Settle: "The maker's test report would settle it.",
		}
	}
	return Conclusion{
		Can:    figure + " That is as sure as the instrument.",
		Cannot: "It holds for as long as the conditions of the reading last: other loads and other hours may differ.",
		Settle: "Readings at " + c.Place + " at the least and at the highest load would settle it.",
	}
}
