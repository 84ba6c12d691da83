package limits

import "auditgen/internal/diag"

// Family is the set of standards that apply at a site. A field left empty means
// that the family sets no limit of that kind on an installation.
type Family struct {
	Word              string   // as typed in a site's file
	Name              string   // for reports
	VoltageDistortion Standard // of the supply voltage
	CurrentDistortion Standard // that the site may cause
	SupplyVoltage     Standard
	UseVoltage        Standard
	SupplyUnbalance   Standard
	MotorUnbalance    Standard
	Frequency         Standard
	Overload          Standard // of a circuit behind its protective device
	VoltageDrop       Standard // within the installation
	Capacitor         Standard
}

// families in the order in which they are offered.
var families = []Family{
	{
		Word:              "europe",
		Name:              "EN 50160",
		VoltageDistortion: EN50160,
		SupplyVoltage:     EN50160,
		UseVoltage:        IEC60038,
		SupplyUnbalance:   EN50160,
		MotorUnbalance:    NEMAMG1,
		Frequency:         EN50160,
		Overload:          IEC60364_4_43,
		VoltageDrop:       IEC60364_5_52,
		Capacitor:         IEC60831_1,
	},
	{
		Word:              "north-america",
		Name:              "IEEE 519 / ANSI C84.1",
		VoltageDistortion: IEEE519,
		CurrentDistortion: IEEE519,
		SupplyVoltage:     ANSIC84_1,
		UseVoltage:        ANSIC84_1,
		SupplyUnbalance:   ANSIC84_1,
		MotorUnbalance:    NEMAMG1,
		Overload:          NEC,
		VoltageDrop:       NEC,
		Capacitor:         IEEE18,
	},
}

// Families lists the families.
func Families() []Family { return append([]Family(nil), families...) }

// FamilyOf finds a family by the word in a site's file. The error is a
// *diag.Problem that lists the words.
func FamilyOf(word string) (Family, error) {
	words := make([]string, len(families))
	for i, f := range families {
		if f.Word == word {
			return f, nil
		}
		words[i] = f.Word
	}
	return Family{}, diag.OneOf("family of limits", word, words)
}
