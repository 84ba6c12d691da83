package measure

import (
	"testing"

	"golang.org/x/text/language"

	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/site"
	"auditgen/internal/source"
)

// Some changes in Spanish.
func TestWordsInSpanish(t *testing.T) {
	es, _ := say.Load(language.Spanish)
	es.Missed = func(key string) { t.Errorf("no Spanish for %q", key) }
	text := func(s string) source.At[string] { return source.At[string]{Value: s, Text: s, Pos: diag.Pos{Line: 1}} }
	rec := &site.Record{Words: es, Measures: &site.MeasuresFile{}, Loads: []site.Load{{ID: text("fan"), Name: text("Ventilador")}}}
	for _, c := range []struct {
		change site.Change
		want   string
	}{
		{site.Change{Remove: text("fan")}, "Ventilador se retira"},
		{site.Change{Hours: &site.HoursChange{Load: text("fan"), Calendar: text("always")}}, "Ventilador: funciona en todas las horas del año"},
		{site.Change{Speed: &site.SpeedChange{Load: text("fan"), Speed: source.At[share]{Text: "80 %", Pos: diag.Pos{Line: 1}}}}, "Ventilador: velocidad o caudal reducidos al 80 % de los actuales"},
	} {
		if got := Words(rec, c.change); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	ready := site.Measure{Ready: text("capacitor-bank"), Who: text("a licensed electrician"), Caution: text("typed by the provider")}
	ready.Caution.Pos.Line = 7
	if said := ready.In(es); said.Who.Value != "un electricista autorizado" || said.Caution.Value != "typed by the provider" {
		t.Errorf("said %q, %q", said.Who.Value, said.Caution.Value)
	}
}
