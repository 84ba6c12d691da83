package quantity

// RatedWatts is the rating on a plate, in W: of a motor its output at the shaft,
// of other equipment its input.
type RatedWatts float64

// Horsepower is one horsepower of 550 foot-pounds a second in watts, as American
// plates have it (NIST SP 811:2008, B.8: 745.6999 W). The metric horsepower of
// 735.5 W has other names and is not read as this one.
const Horsepower = 745.6999

var rating = &Kind{"rated power", []Unit{{"W", 1}, {"kW", 1e3}, {"MW", 1e6}, {"hp", Horsepower}}, "7.5 kW"}

func init() { kinds = append(kinds, rating) } // last, so that W and kW speak of active power elsewhere

// Kind gives the units of a rating.
func (RatedWatts) Kind() *Kind { return rating }
