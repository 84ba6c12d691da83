package finding

import (
	"testing"

	"golang.org/x/text/language"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
	"auditgen/internal/say"
)

// Every headline in each of its forms, to be read.
func TestHeadlines(t *testing.T) {
	share := func(v float64) audit.Value { return audit.Value{V: v, Step: "step"} }
	motor := func(name string, x float64) audit.Motor {
		return audit.Motor{Name: name, Loading: share(x), Better: "IE3"}
	}
	cold, saw := motor("Cold store", 1.2), motor("Saw", 1.1)
	turning := motor("Pump", 1.1)
	turning.By = audit.BySlip
	bank := audit.BankState{Name: "Bank 1", Current: share(0.7), Voltage: share(1.12), Unequal: share(0.2)}
	nema := limits.Unbalance(limits.NEMAMG1)[0]
	supply := limits.Unbalance(limits.EN50160)[0]
	main := feeder{place: "Main board", rating: "200 A", share: share(0.934)}
	for _, c := range []struct{ got, want string }{
		{categoryFits(nil, 1), "The instrument is rated for every place it was used at"},
		{categoryFits(nil, 2), "both instruments are rated for every place they were used at"},
		{calibrationHolds(nil, 1), "The instrument was within its calibration"},
		{calibrationHolds(nil, 3), "all three instruments were within their calibration"},
		{calibrationRanOut(nil, "R1", 0), "The calibration had run out when reading R1 was taken"},
		{calibrationRanOut(nil, "R1", 2), "The calibration had run out when three readings were taken"},
		{sequenceForward(nil, 1), "The phases turn forward, ABC, where it was read"},
		{sequenceForward(nil, 4), "The phases turn forward, ABC, in all four readings that show it"},
		{sequenceReverse(nil, 1), "The phases turn backward, ACB, where it was read"},
		{sequenceReverse(nil, 2), "The phases turn backward, ACB, in both readings that show it"},
		{sequenceMixed(nil, "Board", 1), "The phases turn the other way, ACB, at Board"},
		{sequenceMixed(nil, "Board", 2), "The phases turn the other way, ACB, in two readings, first at Board"},
		{currentsAlike(nil, 1, "Board", 0.04), "The phases of Board carry alike, to within 4 %"},
		{currentsAlike(nil, 3, "Board", 0.04), "The phases carry alike enough on all three boards read; Board differs most, by 4 %"},
		{currentsDiffer(nil, "Board", 0.46), "The phases of Board are loaded unequally: one is 46 % off their mean"},
		{feedersWithin(nil, 1, main), "Main board carries 93 % of its protective device"},
		{feedersWithin(nil, 4, main), "No feeder read carries more than 93 % of its protective device"},
		{feederNear(nil, main), "Main board is near the rating of its protective device: 93 % of 200 A"},
		{feederAboveLimit(nil, main, 0.8), "Main board carries 93 % of its protective device, above the 80 % for continuous load"},
		{feederOver(nil, main), "Main board carries more than its protective device is rated for: 93 % of 200 A"},
		{neutralWithin(nil, "Board", 0.58), "No neutral read carries more than its lines; that of Board carries most, 58 % of one"},
		{neutralAbove(nil, "Board", 1.2), "The neutral of Board carries more than any of its lines: 120 %"},
		{neutralOverBreaker(nil, "Board", 1.2), "The neutral of Board carries 120 % of what its protective device allows a line, and nothing switches it off"},
		{thirdLow(nil, "Board", 0.012), "The third harmonic is too low to load a neutral: 1.2 % at Board"},
		{thirdDerates(nil, "Board", 0.2, 0.86), "A third harmonic of 20 % at Board takes the cable's capacity down to 86 %"},
		{thirdSizesNeutral(nil, "Board", 0.4), "A third harmonic of 40 % at Board loads the neutral more than the lines"},
		{dropWithin(nil, "Board", 0), "No voltage is lost on the way to the boards, as far as the readings tell"},
		{dropWithin(nil, "Board", 0.008), "At most 0.8 % of the voltage is lost on the way to the loads, at Board"},
		{dropNear(nil, "Board", 0.04), "Voltage drops by 4.0 % on the way to Board"},
		{dropAbove(nil, "Board", 0.06, 0.05), "Voltage drops by 6.0 % on the way to Board, above the 5 % advised"},
		{unbalanceAbove(nil, 0.02, nema), "Voltage unbalance of 2.0 % is above the 1 % that motors stand at full load"},
		{unbalanceAbove(nil, 0.025, supply), "Voltage unbalance of 2.5 % is above the supply's limit of 2 %"},
		{unbalanceStops(nil, 0.06), "Voltage unbalance of 6.0 % is above the 5 % at which motors should not run at all"},
		{baseHeadline(nil, 0.47), "What runs day and night takes 47 % of the year's energy"},
		{peakWithin(nil, 0), "The highest demand owes nothing to loads that happen to meet"},
		{peakWithin(nil, 0.05), "Loads that happen to run together add only 5 % to the highest demand"},
		{peakByChance(nil, 0.26), "Loads that happen to run together make 26 % of the highest demand of {peak}"},
		{agreedFits(nil, 160), "The agreed demand of 160 kVA fits the expected peak of {peak}"},
		{agreedExceeded(nil, 160), "The highest demand is expected at {peak}, above the 160 kVA agreed"},
		{agreedTight(nil, 160), "The highest demand, {peak}, may pass the 160 kVA agreed"},
		{agreedHigh(nil, 160), "The agreed demand of 160 kVA is more than the site needs, and costs {cost} a year"},
		{agreedHighFree(nil, 160), "The agreed demand of 160 kVA is more than the site needs; this tariff charges nothing for it"},
		{gapWords(nil, 0.001), "The loads listed explain all of the energy billed"},
		{gapWords(nil, -0.03), "The loads listed explain 97 % of the energy billed"},
		{gapWords(nil, -0.2), "20 % of the energy billed is not explained by any load listed"},
		{gapWords(nil, 0.04), "The loads listed explain the energy billed, and 4 % more"},
		{gapWords(nil, 0.2), "The loads listed take 20 % more energy than was billed"},
		{tariffCheapest(nil, 1), "The one other tariff that was priced is no cheaper"},
		{tariffCheapest(nil, 3), "None of the three other tariffs that were priced is cheaper"},
		{tariffDearer(nil, "Flat"), "The same year would cost {cost} less on the tariff “Flat”"},
		{tariffLittle(nil, "Flat"), "The tariff “Flat” would be cheaper, but only by {cost} a year"},
		{lagging(nil, 1), "Reactive power lags at the incomer: nothing is over-compensated at that load"},
		{lagging(nil, 2), "Reactive power lags in both readings at the incomer: nothing is over-compensated at those loads"},
		{leadingBy(nil, 8000), "The site gives 8.0 kvar back: its capacitors are too large for the load of that moment"},
		{measuredHeadline(nil, 0, false), "No load was measured: the year rests on plates and judgement"},
		{measuredHeadline(nil, 0.4, true), "Only 40 % of the year's energy rests on readings"},
		{measuredHeadline(nil, 0.9, false), "90 % of the year's energy rests on readings, but the incomer was not read"},
		{measuredHeadline(nil, 0.9, true), "90 % of the year's energy rests on readings"},
		{transformerFits(nil, 0.5, "250 kVA"), "The transformer of 250 kVA is loaded to 50 % at the highest demand"},
		{transformerLarge(nil, 0.2), "The transformer is large for this site: the highest demand takes 20 % of its rating"},
		{transformerClose(nil, 0.9), "The transformer has little left: the highest demand takes 90 % of its rating"},
		{transformerOver(nil, 1.1), "The highest demand, {peak}, is 110 % of what the transformer is rated for"},
		{harmonicsLeave(nil, 0.98), "Harmonics leave the transformer 98 % of its rating, which is enough"},
		{harmonicsNear(nil, audit.Harmonics{Carries: share(80e3)}), "Harmonics leave the transformer 80 kVA, just above the highest demand of {peak}"},
		{harmonicsOverload(nil, audit.Harmonics{Carries: share(70e3)}), "Harmonics leave the transformer 70 kVA, less than the highest demand of {peak}"},
		{motorsWell(nil, 1), "The one motor that could be judged is loaded as it should be"},
		{motorsWell(nil, 6), "all six motors that could be judged are loaded as they should be"},
		{motorOverloaded(nil, cold, 1), "The motor of cold store takes 120 % of its rated input"},
		{motorOverloaded(nil, cold, 2), "two motors take more than their rated input; that of cold store takes 120 %"},
		{motorOverloaded(nil, turning, 1), "The motor of pump seems loaded to 110 % of its rating"},
		{motorOverloaded(nil, turning, 3), "three motors seem loaded above their rating; that of pump to 110 %"},
		{motorsIdle(nil, []audit.Motor{motor("Saw", 0.4)}), "The motor of saw is loaded to less than half: 40 %"},
		{motorsIdle(nil, []audit.Motor{cold, saw}), "two motors are loaded to less than half of their rating"},
		{motorsPremium(nil, 1), "The one motor whose class is known is of class IE3 or better"},
		{motorsPremium(nil, 2), "both motors whose class is known are of class IE3 or better"},
		{motorsBelow(nil, []audit.Motor{cold}, false), "The motor of cold store is below class IE3"},
		{motorsBelow(nil, []audit.Motor{cold}, true), "The motor of cold store is below class IE3; a better one would save {saved} a year"},
		{motorsBelow(nil, []audit.Motor{cold, saw}, true), "two motors are below class IE3; better ones would save {saved} a year"},
		{resonanceClear(nil, 1), "No step of the capacitor bank resonates near a harmonic that is present"},
		{resonanceClear(nil, 2), "No step of the two capacitor banks resonates near a harmonic that is present"},
		{resonanceNear(nil, hit{bank, audit.Stage{Vars: share(5e5)}, 7}, 1), "Bank 1 resonates with the supply near the 7th harmonic, at 500 kvar"},
		{resonanceNear(nil, hit{bank, audit.Stage{Vars: share(5e5)}, 7}, 3), "Bank 1 resonates with the supply near the 7th harmonic, at 500 kvar and at two other settings"},
		{plainWithDistortion(nil, 0.2, 0.01), "Capacitors without reactors stand beside a current distorted by 20 %"},
		{plainWithDistortion(nil, 0.2, 0.05), "Capacitors without reactors stand on a voltage distorted by 5.0 %"},
		{capacitorWell(nil, bank), "Bank 1 takes 70 % of its rated current"},
		{capacitorWell(nil, audit.BankState{Name: "Bank 1", Voltage: share(0.95)}), "Bank 1 stands at 95 % of its rated voltage"},
		{capacitorOverloaded(nil, bank, 1.3), "Bank 1 carries 70 % of its rated current, above the 130 % that it may"},
		{capacitorOvervoltage(nil, bank, 1.1), "Bank 1 stands at 112 % of its rated voltage, above the 110 % that it may"},
		{capacitorUnequal(nil, bank), "The phases of Bank 1 differ by 20 %: a fuse or an element has failed"},
		{capacitorWeak(nil, bank), "Bank 1 takes only 70 % of its rated current: elements have failed, or steps were off"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

// Some headlines in Spanish, with their forms of number and places for figures.
func TestHeadlinesInSpanish(t *testing.T) {
	es, _ := say.Load(language.Spanish)
	es.Missed = func(key string) { t.Errorf("no Spanish for %q", key) }
	bank := audit.BankState{Name: "Banco 1"}
	stage := audit.Stage{Vars: audit.Value{V: 5e5, Step: "step"}}
	for _, c := range []struct{ got, want string }{
		{agreedTight(es, 160), "La demanda máxima, {peak}, puede superar los 160 kVA contratados"},
		{agreement(es, 2), "ambas lecturas concuerdan consigo mismas y entre sí"},
		{agreement(es, 13), "las 13 lecturas concuerdan consigo mismas y entre sí"},
		{gapWords(es, -0.2), "Ninguna carga listada explica el 20 % de la energía facturada"},
		{resonanceNear(es, hit{bank, stage, 7}, 2), "Banco 1 resuena con la red cerca del 7.º armónico, con 500 kvar y con otro ajuste"},
		{resonanceNear(es, hit{bank, stage, 7}, 3), "Banco 1 resuena con la red cerca del 7.º armónico, con 500 kvar y con otros dos ajustes"},
		{tariffDearer(es, "Plana"), "El mismo año costaría {cost} menos con la tarifa «Plana»"},
		{unbalanceStops(es, 0.06), "El desequilibrio de tensiones del 6.0 % supera el 5 % a partir del cual los motores no deben funcionar en absoluto"},
		{audit.MonthName(es, 4), "mayo"},
		{join(es, []string{"A", "B", "C"}), "A, B y C"},
		{Plan.In(es), "planificar"},
		{clause(es, limits.Unbalance(limits.EN50160)[0].Cite), "EN 50160:2010, apartado 4.2.4 (cifra de una reproducción publicada)"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
