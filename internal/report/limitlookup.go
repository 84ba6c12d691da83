package report

import (
	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
)

// limitOf finds the limit of a harmonic in the site's family of limits. A family that sets none
// for a whole site's current is held against IEEE 519, for orientation.
func (v *visit) limitOf(kind string, o audit.Order) (limits.Limit[quantity.Ratio], bool) {
	bus := v.Record.Site.Supply.Voltage.Value.Value
	if kind == "voltage" {
		return limits.VoltageHarmonic(v.Family.VoltageDistortion, bus, o.N)
	}
	ratio, ok := v.shortCircuitRatio()
	if !ok {
		return limits.Limit[quantity.Ratio]{}, false
	}
	return limits.CurrentHarmonic(v.currentStandard(), bus, ratio, o.N)
}

// totalLimit is limitOf for the distortion as a whole.
func (v *visit) totalLimit(kind string) (limits.Limit[quantity.Ratio], bool) {
	bus := v.Record.Site.Supply.Voltage.Value.Value
	if kind == "voltage" {
		return limits.VoltageTHD(v.Family.VoltageDistortion, bus)
	}
	ratio, ok := v.shortCircuitRatio()
	if !ok {
		return limits.Limit[quantity.Ratio]{}, false
	}
	return limits.CurrentTDD(v.currentStandard(), bus, ratio)
}

func (v *visit) currentStandard() limits.Standard {
	if v.Family.CurrentDistortion != "" {
		return v.Family.CurrentDistortion
	}
	return limits.IEEE519
}

// forOrientation tells whether current is held against a standard that the
// site's family does not name.
func (v *visit) forOrientation(kind string) bool {
	return kind == "current" && v.Family.CurrentDistortion == ""
}

// shortCircuitRatio is the short-circuit current over the maximum demand current.
func (v *visit) shortCircuitRatio() (float64, bool) {
	ratio := v.ShortCircuitRatio()
	return ratio.V, ratio.Known()
}
