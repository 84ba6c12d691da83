package waveform

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"auditgen/internal/diag"
)

func TestRead(t *testing.T) {
	clamp := Columns{Channels: []Column{
		{Column: "Channel A", Is: Name{Kind: PhaseVoltage}, Worth: Factor{Value: 200}},
		{Column: "channel b", Is: Name{Kind: Current}, Worth: Factor{Value: -100, Of: "A", Per: "V"}},
	}}
	tests := []struct {
		name, text string
		columns    Columns
		rate       float64
		want       string // channels with their samples
	}{
		{"as the header says", "time [ms], u [V], i [A]\n0, 1, 2\n0.1, -3, 4.5\n", Columns{}, 10000, "u 1 -3; i 2 4.5"},
		{"decimal commas", "t [ms];u_a [kV];i_a [mA]\n0,0;1,5;2\n0,1;-3,25E-1;4\n", Columns{}, 10000, "u_a 1500 -325; i_a 0.002 0.004"},
		{"decimal points and semicolons", "t/s;v1/V;i1/A\n0.0;1.5;2\n0.5;2.5;3\n", Columns{}, 2, "u_a 1.5 2.5; i_a 2 3"},
		{"tabs", "time (us)\tu_l1 (V)\n0\t1\n50\t2\n", Columns{}, 20000, "u_a 1 2"},
		{"comments and empty lines", "\xef\xbb\xbf# taken at the incomer\n% by hand\n\nt [s],u [V]\n// start\n0,1\n\n1,2\n", Columns{}, 1, "u 1 2"},
		{"a line of units", "Time,Channel A,Channel B\n(ms),(V),(mV)\n\n0.0,1,10\n0.5,2,20\n", clamp, 2000, "u 200 400; i -1 -2"},
		{"lines before the header", "Model,X\nSamples,2\nTime [s],Channel A [V],Channel B [mV]\n0,1,10\n1,2,20\n", Columns{Header: 3, Channels: clamp.Channels}, 1, "u 200 400; i -1 -2"},
		{"a stated rate", "u [V],i [A]\n1,2\n3,4\n", Columns{Rate: 6400}, 6400, "u 1 3; i 2 4"},
		{"a stated rate beside a time that is not used", "time [s],u [V]\n0,1\n0,3\n", Columns{Rate: 6400}, 6400, "u 1 3"},
		{"a time of another name", "x [ms],u [V],rest\n0,1,z\n1,2,z\n", Columns{Time: "X", Channels: []Column{{Column: "u", Is: Name{Kind: PhaseVoltage}}}}, 1000, "u 1 2"},
		{"units in the map", "t [s],a\n0,1\n1,2\n", Columns{Channels: []Column{{Column: "a", Is: Name{Kind: Current, Phase: "N"}, Unit: "kA"}}}, 1, "i_n 1000 2000"},
		{"a line voltage turned about", "t [s],u_cb [V],u_ab [V]\n0,1,5\n1,2,6\n", Columns{}, 1, "u_bc -1 -2; u_ab 5 6"},
		{"a separator at the end", "t [s],u [V],\n0,1,\n1,2,\n", Columns{}, 1, "u 1 2"},
		{"carriage returns", "t [s],u [V]\r\n0,1\r\n1,2\r\n", Columns{}, 1, "u 1 2"},
		{"words for units", "t in s,u in V\n0,1\n1,2\n", Columns{}, 1, "u 1 2"},
		{"rounded times", "t [ms],u [V]\n0,1\n0.16,2\n0.31,3\n0.47,4\n0.63,5\n", Columns{}, 6349.206349206349, "u 1 2 3 4 5"},
	}
	for _, tt := range tests {
		var faults diag.List
		r := Read("a.csv", []byte(tt.text), tt.columns, &faults)
		if r == nil {
			t.Errorf("%s: %v", tt.name, faults.Sorted())
			continue
		}
		var got []string
		for _, c := range r.Channels {
			text := c.Name.String()
			for _, x := range c.Samples {
				text += fmt.Sprintf(" %.10g", x)
			}
			got = append(got, text)
		}
		if s := strings.Join(got, "; "); s != tt.want || math.Abs(float64(r.Rate)-tt.rate) > 1e-6*tt.rate {
			t.Errorf("%s: %g a second, %s; want %s", tt.name, r.Rate, s, tt.want)
		}
	}
}

func TestFaultsOfAFile(t *testing.T) {
	tests := []struct {
		name, text string
		columns    Columns
		want       []string
	}{
		{"empty", "", Columns{}, []string{"a.csv:1:1: there is no header line; expected names and units of the columns, such as time [ms], u [V], i [A]"}},
		{"no time", "u [V]\n1\n", Columns{}, []string{"a.csv:1:1: there is no time column; expected a column named time or t with its unit, or the sample rate stated beside the file"}},
		{"time without a unit", "t,u [V]\n0,1\n", Columns{}, []string{"a.csv:1:1: the time column has no unit; expected s, ms, us or ns, such as time [ms]"}},
		{"odd unit of time", "t [h],u [V]\n0,1\n", Columns{}, []string{`a.csv:1:1: unknown unit of time "h"; expected s, ms, us or ns, such as time [ms]`}},
		{"a voltage without a unit", "t [s],u\n0,1\n", Columns{}, []string{`a.csv:1:7: the column "u" has no unit; expected its unit behind the name, such as u [V]`}},
		{"a current in volts", "t [s],i [mV]\n0,1\n", Columns{}, []string{"a.csv:1:7: a current is given in mV; expected what one unit of the column is worth, such as 100 A/V"}},
		{"a column of no known name", "t [s],µ [V],temperature [V]\n0,1,2\n", Columns{}, []string{
			`a.csv:1:7: "µ" is no channel; expected u or i with its phase, such as u_a, u_ab, i_a, i_n, or u and i alone`,
			`a.csv:1:13: "temperature" is no channel; expected u or i with its phase, such as u_a, u_ab, i_a, i_n, or u and i alone`,
		}},
		{"twice", "t [s],u_a [V],v1 [V]\n0,1,2\n", Columns{}, []string{`a.csv:1:15: u_a stands in two columns, "u_a" and "v1"; expected one of them`}},
		{"unknown unit", "t [s],u [volt]\n0,1\n", Columns{}, []string{`a.csv:1:7: unknown unit "volt"; expected V, mV, kV, A, mA or kA`}},
		{"a mapped column that is not there", "t [s],Chanel A [V]\n0,1\n", Columns{Channels: []Column{{Column: "Channel A", Is: Name{Kind: Current}}}},
			[]string{`a.csv:1:1: there is no column "Channel A"; expected t or Chanel A; did you mean "Chanel A"?`}},
		{"a factor of other units", "t [s],x [A]\n0,1\n", Columns{Channels: []Column{{Column: "x", Is: Name{Kind: Current}, Worth: Factor{100, "A", "V"}}}},
			[]string{"a.csv:1:7: a factor in A/V does not turn A into a current; expected a factor in A/A"}},
		{"two units", "t [s],x [A]\n0,1\n", Columns{Channels: []Column{{Column: "x", Is: Name{Kind: Current}, Unit: "mA"}}}, []string{"a.csv:1:7: the header has A, the map mA; expected one unit"}},
		{"time and rate", "t [s],u [V]\n0,1\n", Columns{Time: "t", Rate: 5}, []string{"a.csv:1:1: both a time column and a sample rate are stated; expected one of them"}},
		{"a word among figures", "t [s],u [V]\n0,1\n1,over\n2,3\n3,∞\n", Columns{}, []string{
			`a.csv:3:3: "over" is not a number; expected a figure such as -12.5 or 1.25E-3`, `a.csv:5:3: "∞" is not a number; expected a figure such as -12.5 or 1.25E-3`,
		}},
		{"an empty figure", "t [s],u [V]\n0,1\n1,\n", Columns{}, []string{`a.csv:3:3: "" is not a number; expected a figure such as -12.5 or 1.25E-3`}},
		{"thousands", "t [s];u [V]\n0;1.234,5\n", Columns{}, []string{`a.csv:2:3: "1.234,5" is not a number; expected a figure such as -12.5 or 1.25E-3`}},
		{"two decimal signs", "t [s];u [V]\n0;1,5\n1;1.5\n", Columns{}, []string{`a.csv:3:3: "1.5" has another decimal sign than the figures before it; expected points or commas before decimals, not both in one file`}},
		{"a short line", "# c\nt [s],u [V],i [A]\n0,1,2\n1,3\n", Columns{}, []string{"a.csv:4:1: the line has 2 columns, the header 3"}},
		{"time stands", "t [s],u [V]\n0,1\n1,1\n1,1\n", Columns{}, []string{`a.csv:4:1: time does not rise at "1"; expected a later time than the line before; or state the sample rate and leave the time column out`}},
		{"a gap", "t [ms],u [V]\n0,1\n1,1\n# lost\n3,1\n4,1\n5,1\n", Columns{}, []string{"a.csv:5:1: time steps by 2 ms here and by 1.25 ms on average; expected even steps without gaps; where the figures are only rounded, state the sample rate and leave the time column out"}},
		{"one sample", "t [s],u [V]\n0,1\n", Columns{}, []string{"a.csv:1:1: the file has 1 sample; expected at least one whole cycle"}},
		{"beyond measure", "t [s],u [V]\n0,1e300\n", Columns{}, []string{`a.csv:2:3: "1e300" is beyond measure; expected a figure that an instrument can show`}},
		{"another code", "t [s],u [V]\n0,\xb5\n", Columns{}, []string{"a.csv:2:3: the file is not in UTF-8; expected an export in UTF-8"}},
		{"an open quote", "t [s],u [V]\n0,\"1\n", Columns{}, []string{`a.csv:2:6: the line cannot be read: extraneous or missing " in quoted-field`}},
		{"only time", "t [s]\n0\n", Columns{}, []string{"a.csv:1:1: no column holds a voltage or a current; expected columns such as u [V], i [A], u_a [V]"}},
	}
	for _, tt := range tests {
		var faults diag.List
		if r := Read("a.csv", []byte(tt.text), tt.columns, &faults); r != nil {
			t.Errorf("%s: read", tt.name)
		}
		var got []string
		for _, f := range faults.Sorted() {
			got = append(got, f.String())
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s:\ngot  %s\nwant %s", tt.name, strings.Join(got, "\n     "), strings.Join(tt.want, "\n     "))
		}
	}
}

// A file read with the wrong map tells of its first faults and stops.
func TestFaultsAreBounded(t *testing.T) {
	text := "t [s],u [V]\n" + strings.Repeat("0,x\n", 1000)
	var faults diag.List
	Read("a.csv", []byte(text), Columns{}, &faults)
	all := faults.Sorted()
	if len(all) != mostFaults+1 || all[mostFaults].String() != "a.csv:22:1: more faults may follow: the rest of the file was not read" {
		t.Errorf("%d faults, the last %v", len(all), all[len(all)-1])
	}
}

func TestWordsOfAMap(t *testing.T) {
	for text, want := range map[string]string{
		"u": "u", "V": "u", "u_a": "u_a", "UA": "u_a", "v L2": "u_b", "i3": "i_c", "in": "i_n", "u12": "u_ab", "u_l3l1": "u_ca",
		"u_n": "", "i_ab": "", "u_aa": "", "w": "", "u_d": "",
	} {
		n, err := NameOf(text)
		if (err == nil) != (want != "") || err == nil && n.String() != want {
			t.Errorf("%s: %v %v", text, n, err)
		}
	}
	for text, want := range map[string]Factor{"10": {10, "", ""}, "-100 A/V": {-100, "A", "V"}, "0.5 V/mV": {0.5, "V", "mV"}} {
		var f Factor
		if err := f.UnmarshalText([]byte(text)); err != nil || f != want {
			t.Errorf("%s: %v %v", text, f, err)
		}
	}
	for _, text := range []string{"", "0", "x", "1 A", "1 A/W", "1..2", "100A/V"} {
		var f Factor
		if f.UnmarshalText([]byte(text)) == nil {
			t.Errorf("%q is a factor: %v", text, f)
		}
	}
	var r Rate
	if err := r.UnmarshalText([]byte("6.4 kHz")); err != nil || r != 6400 {
		t.Errorf("%v %v", r, err)
	}
	if err := r.UnmarshalText([]byte("6400")); err == nil {
		t.Error("a rate without a unit was read")
	}
}

// Any bytes give either a recording or faults with places in the file, and a
// recording can be analysed without figures that are none.
func FuzzRead(f *testing.F) {
	f.Add([]byte("time [ms], u [V], i [A]\n0, 1, 2\n0.1, -3, 4.5\n"), false)
	f.Add([]byte("# c\nt [s];u_a [kV];i_n [mA]\n0,0;1,5;2\n0,1;-3,25E-1;4\n"), false)
	f.Add([]byte("u [V]\ti [A]\n1\t2\n"), true)
	f.Add([]byte("a,b\n(V),(A)\n\"1\n2\",3\n"), true)
	var wave bytes.Buffer
	wave.WriteString("t [ms],u [V],i [A]\n")
	for i := range 60 {
		fmt.Fprintf(&wave, "%d,%.1f,%.2f\n", i, 325*math.Sin(float64(i)*0.314), 5*math.Sin(float64(i)*0.314-0.5))
	}
	f.Add(wave.Bytes(), false)
	f.Fuzz(func(t *testing.T, text []byte, rated bool) {
		var c Columns
		if rated {
			c.Rate = 1000
		}
		var faults diag.List
		r := Read("a.csv", text, c, &faults)
		if (r == nil) != (faults.Len() > 0) {
			t.Fatalf("recording %v, %d faults", r != nil, faults.Len())
		}
		lines := bytes.Count(text, []byte("\n")) + 1
		for _, f := range faults.Sorted() {
			if f.Pos.Line < 1 || f.Pos.Line > lines+1 || f.Pos.Column < 1 || f.What == "" {
				t.Fatalf("fault without a place: %v", f)
			}
		}
		if r == nil {
			return
		}
		for _, ch := range r.Channels {
			if len(ch.Samples) != r.Len() {
				t.Fatalf("channels of %d and %d samples", len(ch.Samples), r.Len())
			}
		}
		if a, err := Analyse(r); err == nil {
			for _, p := range a.Phases {
				if v := p.Voltage; v != nil && math.IsNaN(float64(v.RMS)+float64(v.THD)+float64(v.Crest)) {
					t.Fatalf("voltage %v", v)
				}
				if w := p.Power; w != nil && math.IsNaN(float64(w.Active)+float64(w.PowerFactor)+float64(w.Displacement)) {
					t.Fatalf("power %v", w)
				}
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	var text bytes.Buffer
	text.WriteString("time [ms],u [V],i [A]\n")
	for i := range 100000 {
		fmt.Fprintf(&text, "%.3f,%.2f,%.4f\n", float64(i)*0.01, 325*math.Sin(float64(i)*0.00314), 5*math.Sin(float64(i)*0.00314-0.5))
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		var faults diag.List
		if Read("a.csv", text.Bytes(), Columns{}, &faults) == nil {
			b.Fatal(faults.Sorted())
		}
	}
}
