package audit

import (
	"testing"

	"golang.org/x/text/language"

	"auditgen/internal/say"
	"auditgen/internal/tariff"
)

// Some sentences of the passes in Spanish, with their forms of number.
func TestSpanish(t *testing.T) {
	es, _ := say.Load(language.Spanish)
	es.Missed = func(key string) { t.Errorf("no Spanish for %q", key) }
	for _, c := range []struct{ got, want string }{
		{where(es, "R1", "C"), "R1, fase C"},
		{where(es, "R1", "AB"), "R1, líneas AB"},
		{phaseWords(es, []string{"A", "C"}), "fases A y C"},
		{es.N(1, "the clamp on %s is on backwards", "the clamps on %s are on backwards", phaseWords(es, []string{"C"})), "la pinza en fase C está al revés"},
		{es.N(2, "the clamp on %s is on backwards", "the clamps on %s are on backwards", phaseWords(es, []string{"A", "C"})), "las pinzas en fases A y C están al revés"},
		{others(es, 2), "las demás fases toman potencia"},
		{enumerateOr(es, []string{"corriente", "potencia activa"}), "corriente o potencia activa"},
		{MonthName(es, 8), "septiembre"},
		{meteredWords(es, tariff.Metered{What: "demand", Unit: tariff.KW, Window: 15}, "", "mayo"), "máximo de kW en 15 minutos, mayo"},
		{turnLabel(es, "energy", "Plana"), "energía con la que Plana cuesta lo que la tarifa vigente"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
