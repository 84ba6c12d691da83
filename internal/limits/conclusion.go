package limits

import "auditgen/internal/say"

// Conclusion is what one reading says against a limit, in whole sentences.
type Conclusion struct {
	Can    string // what it shows
	Cannot string // what it does not show
	Settle string // what would
}

// Conclude words what one reading can and cannot conclude against the limit cited,
// from whether it stands above (outside, for a band) the limit's figure. No limit
// with a statistic of its own is said to be met or broken by a reading.
func (c Citation) Conclude(lang *say.Language, above bool) Conclusion {
	figure := lang.F("The reading stands within the figure of %s.", c.In(lang))
	if above {
		figure = lang.F("The reading stands outside the figure of %s.", c.In(lang))
	}
	switch c.Reach {
	case Period:
		return Conclusion{
			Can:    figure,
			Cannot: lang.F("The limit is defined over %s: one reading neither breaks nor meets it.", lang.S(c.Statistic)),
			Settle: lang.F("A logger at %s, over that time, would settle it.", lang.S(c.Place)),
		}
	case Level:
		return Conclusion{
			Can:    figure,
			Cannot: lang.S("The figure is a level to plan a whole network by, not a limit at one place."),
			Settle: lang.S("The limit that the supplier or the local code sets for this place would settle it."),
		}
	case TypeTest:
		return Conclusion{
			Can:    figure,
			Cannot: lang.S("The limit binds a product in a laboratory, on a supply without distortion, not an installation."),
			Settle: lang.S("The maker's test report would settle it."),
		}
	}
	return Conclusion{
		Can:    figure + " " + lang.S("That is as sure as the instrument."),
		Cannot: lang.S("It holds for as long as the conditions of the reading last: other loads and other hours may differ."),
		Settle: lang.F("Readings at %s at the least and at the highest load would settle it.", lang.S(c.Place)),
	}
}
