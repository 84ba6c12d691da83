package site

import (
	"fmt"
	"time"
	_ "time/tzdata" // zones must not depend on the machine

	"auditgen/internal/diag"
)

// Zone is a time zone by its IANA name.
type Zone struct{ *time.Location }

// UnmarshalText reads a zone. The machine's own zone is refused: the same
// files must give the same report everywhere.
func (z *Zone) UnmarshalText(text []byte) error {
	name := string(text)
	loc, err := time.LoadLocation(name)
	if err != nil || name == "Local" || name == "" {
		return &diag.Problem{What: fmt.Sprintf("unknown time zone %q", name), Expected: "an IANA name, such as Europe/Dublin or America/Chicago"}
	}
	z.Location = loc
	return nil
}
