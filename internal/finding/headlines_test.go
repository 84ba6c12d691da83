package finding

import (
	"testing"

	"auditgen/internal/audit"
	"auditgen/internal/limits"
)

// Every headline in each of its forms, to be read.
func TestHeadlines(t *testing.T) {
	share := func(v float64) audit.Value { return audit.Value{V: v, Step: "step"} }
	motor := func(name string, x float64) audit.Motor {
		return audit.Motor{Name: name, Loading: share(x), Better: "IE3"}
	}
	cold, saw := motor("Cold store", 1.2), motor("Saw", 1.1)
	bank := audit.BankState{Name: "Bank 1", Current: share(0.7), Voltage: share(1.12), Unequal: share(0.2)}
	nema := limits.Unbalance(limits.NEMAMG1)[0]
	supply := limits.Unbalance(limits.EN50160)[0]
	main := feeder{place: "Main board", rating: "200 A", share: share(0.934)}
	for _, c := range []struct{ got, want string }{
		{categoryFits(1), "The instrument is rated for every place it was used at"},
		{categoryFits(2), "both instruments are rated for every place they were used at"},
		{calibrationHolds(1), "The instrument was within its calibration"},
		{calibrationHolds(3), "all three instruments were within their calibration"},
		{calibrationRanOut("R1", 0), "The calibration had run out when reading R1 was taken"},
		{calibrationRanOut("R1", 2), "The calibration had run out when three readings were taken"},
		{sequenceForward(1), "The phases turn forward, ABC, where it was read"},
		{sequenceForward(4), "The phases turn forward, ABC, in all four readings that show it"},
		{sequenceReverse(1), "The phases turn backward, ACB, where it was read"},
		{sequenceReverse(2), "The phases turn backward, ACB, in both readings that show it"},
		{sequenceMixed("Board", 1), "The phases turn the other way, ACB, at Board"},
		{sequenceMixed("Board", 2), "The phases turn the other way, ACB, in two readings, first at Board"},
		{currentsAlike(1, "Board", 0.04), "The phases of Board carry alike, to within 4 %"},
		{currentsAlike(3, "Board", 0.04), "The phases carry alike enough on all three boards read; Board differs most, by 4 %"},
		{currentsDiffer("Board", 0.46), "The phases of Board are loaded unequally: one is 46 % off their mean"},
		{feedersWithin(1, main), "Main board carries 93 % of its protective device"},
		{feedersWithin(4, main), "No feeder read carries more than 93 % of its protective device"},
		{feederNear(main), "Main board is near the rating of its protective device: 93 % of 200 A"},
		{feederAboveLimit(main, 0.8), "Main board carries 93 % of its protective device, above the 80 % for continuous load"},
		{feederOver(main), "Main board carries more than its protective device is rated for: 93 % of 200 A"},
		{neutralWithin("Board", 0.58), "No neutral read carries more than its lines; that of Board carries most, 58 % of one"},
		{neutralAbove("Board", 1.2), "The neutral of Board carries more than any of its lines: 120 %"},
		{neutralOverBreaker("Board", 1.2), "The neutral of Board carries 120 % of what its protective device allows a line, and nothing switches it off"},
		{thirdLow("Board", 0.012), "The third harmonic is too low to load a neutral: 1.2 % at Board"},
		{thirdDerates("Board", 0.2, 0.86), "A third harmonic of 20 % at Board takes the cable's capacity down to 86 %"},
		{thirdSizesNeutral("Board", 0.4), "A third harmonic of 40 % at Board loads the neutral more than the lines"},
		{dropWithin("Board", 0), "No voltage is lost on the way to the boards, as far as the readings tell"},
		{dropWithin("Board", 0.008), "At most 0.8 % of the voltage is lost on the way to the loads, at Board"},
		{dropNear("Board", 0.04), "Voltage drops by 4.0 % on the way to Board"},
		{dropAbove("Board", 0.06, 0.05), "Voltage drops by 6.0 % on the way to Board, above the 5 % advised"},
		{unbalanceAbove(0.02, nema), "Voltage unbalance of 2.0 % is above the 1 % that motors stand at full load"},
		{unbalanceAbove(0.025, supply), "Voltage unbalance of 2.5 % is above the supply's limit of 2 %"},
		{unbalanceStops(0.06), "Voltage unbalance of 6.0 % is above the 5 % at which motors should not run at all"},
		{baseHeadline(0.47), "What runs day and night takes 47 % of the year's energy"},
		{peakWithin(0), "The highest demand owes nothing to loads that happen to meet"},
		{peakWithin(0.05), "Loads that happen to run together add only 5 % to the highest demand"},
		{peakByChance(0.26), "Loads that happen to run together make 26 % of the highest demand of {peak}"},
		{agreedFits(160), "The agreed demand of 160 kVA fits the expected peak of {peak}"},
		{agreedExceeded(160), "The highest demand is expected at {peak}, above the 160 kVA agreed"},
		{agreedTight(160), "The highest demand, {peak}, may pass the 160 kVA agreed"},
		{agreedHigh(160), "The agreed demand of 160 kVA is more than the site needs, and costs {cost} a year"},
		{agreedHighFree(160), "The agreed demand of 160 kVA is more than the site needs; this tariff charges nothing for it"},
		{gapWords(0.001), "The loads listed explain all of the energy billed"},
		{gapWords(-0.03), "The loads listed explain 97 % of the energy billed"},
		{gapWords(-0.2), "20 % of the energy billed is not explained by any load listed"},
		{gapWords(0.04), "The loads listed explain the energy billed, and 4 % more"},
		{gapWords(0.2), "The loads listed take 20 % more energy than was billed"},
		{tariffCheapest(1), "The one other tariff that was priced is no cheaper"},
		{tariffCheapest(3), "None of the three other tariffs that were priced is cheaper"},
		{tariffDearer("Flat"), "The same year would cost {cost} less on the tariff “Flat”"},
		{tariffLittle("Flat"), "The tariff “Flat” would be cheaper, but only by {cost} a year"},
		{lagging(1), "Reactive power lags at the incomer: nothing is over-compensated at that load"},
		{lagging(2), "Reactive power lags in both readings at the incomer: nothing is over-compensated at those loads"},
		{leadingBy(8000), "The site gives 8.0 kvar back: its capacitors are too large for the load of that moment"},
		{measuredHeadline(0, false), "No load was measured: the year rests on plates and judgement"},
		{measuredHeadline(0.4, true), "Only 40 % of the year's energy rests on readings"},
		{measuredHeadline(0.9, false), "90 % of the year's energy rests on readings, but the incomer was not read"},
		{measuredHeadline(0.9, true), "90 % of the year's energy rests on readings"},
		{transformerFits(0.5, "250 kVA"), "The transformer of 250 kVA is loaded to 50 % at the highest demand"},
		{transformerLarge(0.2), "The transformer is large for this site: the highest demand takes 20 % of its rating"},
		{transformerClose(0.9), "The transformer has little left: the highest demand takes 90 % of its rating"},
		{transformerOver(1.1), "The highest demand, {peak}, is 110 % of what the transformer is rated for"},
		{harmonicsLeave(0.98), "Harmonics leave the transformer 98 % of its rating, which is enough"},
		{harmonicsNear(audit.Harmonics{Carries: share(80e3)}), "Harmonics leave the transformer 80 kVA, just above the highest demand of {peak}"},
		{harmonicsOverload(audit.Harmonics{Carries: share(70e3)}), "Harmonics leave the transformer 70 kVA, less than the highest demand of {peak}"},
		{motorsWell(1), "The one motor that could be judged is loaded as it should be"},
		{motorsWell(6), "all six motors that could be judged are loaded as they should be"},
		{motorOverloaded(cold, 1), "The motor of cold store takes 120 % of its rated input"},
		{motorOverloaded(cold, 2), "two motors take more than their rated input; that of cold store takes 120 %"},
		{motorsIdle([]audit.Motor{motor("Saw", 0.4)}), "The motor of saw is loaded to less than half: 40 %"},
		{motorsIdle([]audit.Motor{cold, saw}), "two motors are loaded to less than half of their rating"},
		{motorsPremium(1), "The one motor whose class is known is of class IE3 or better"},
		{motorsPremium(2), "both motors whose class is known are of class IE3 or better"},
		{motorsBelow([]audit.Motor{cold}, false), "The motor of cold store is below class IE3"},
		{motorsBelow([]audit.Motor{cold}, true), "The motor of cold store is below class IE3; a better one would save {saved} a year"},
		{motorsBelow([]audit.Motor{cold, saw}, true), "two motors are below class IE3; better ones would save {saved} a year"},
		{resonanceClear(1), "No step of the capacitor bank resonates near a harmonic that is present"},
		{resonanceClear(2), "No step of the two capacitor banks resonates near a harmonic that is present"},
		{resonanceNear(hit{bank, audit.Stage{Vars: share(5e5)}, 7}, 1), "Bank 1 resonates with the supply near the 7th harmonic, at 500 kvar"},
		{resonanceNear(hit{bank, audit.Stage{Vars: share(5e5)}, 7}, 3), "Bank 1 resonates with the supply near the 7th harmonic, at 500 kvar and at two other settings"},
		{plainWithDistortion(0.2, 0.01), "Capacitors without reactors stand beside a current distorted by 20 %"},
		{plainWithDistortion(0.2, 0.05), "Capacitors without reactors stand on a voltage distorted by 5.0 %"},
		{capacitorWell(bank), "Bank 1 takes 70 % of its rated current"},
		{capacitorWell(audit.BankState{Name: "Bank 1", Voltage: share(0.95)}), "Bank 1 stands at 95 % of its rated voltage"},
		{capacitorOverloaded(bank, 1.3), "Bank 1 carries 70 % of its rated current, above the 130 % that it may"},
		{capacitorOvervoltage(bank, 1.1), "Bank 1 stands at 112 % of its rated voltage, above the 110 % that it may"},
		{capacitorUnequal(bank), "The phases of Bank 1 differ by 20 %: a fuse or an element has failed"},
		{capacitorWeak(bank), "Bank 1 takes only 70 % of its rated current: elements have failed, or steps were off"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
