package intake

import (
	"auditgen/internal/tariff"
)

// Use answers everything that a tariff can ask.
var (
	_ tariff.ExportUse   = (*Use)(nil)
	_ tariff.RegisterUse = (*Use)(nil)
	_ tariff.ApparentUse = (*Use)(nil)
	_ tariff.SlidingUse  = (*Use)(nil)
	_ tariff.PartUse     = (*Use)(nil)
	_ tariff.CourseUse   = (*Use)(nil)
)
