package source_test

import (
	"strings"
	"testing"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

func TestTOMLPositions(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"keys and values", "# words\nname = \"x\"\n  other   =   'y'\nn = 12\nd = 2030-09-02\nyes = true\n", `group@1:1
  name@2:1 "x"@2:8
  other@3:3 "y"@3:15
  n@4:1 "12"@4:5
  d@5:1 "2030-09-02"@5:5
  yes@6:1 "true"@6:7
`},
		{"tables", "a = 1\n[b]\nc = 2\n[b.d]\ne = 3\n", `group@1:1
  a@1:1 "1"@1:5
  b@2:2 group@2:2
    c@3:1 "2"@3:5
    d@4:4 group@4:4
      e@5:1 "3"@5:5
`},
		{"list of tables", "[[i]]\nid = \"x\"\n\n  [[i]]\n  id = \"y\"\n  [i.sub]\n  z = 1\n", `group@1:1
  i@1:3 list@1:1
    - group@1:1
      id@2:1 "x"@2:6
    - group@4:3
      id@5:3 "y"@5:8
      sub@6:6 group@6:6
        z@7:3 "1"@7:7
`},
		{"inline tables and lists", "a = {b = 1, c = [2, {d = 3}, [4, 5]], e = 6}\nf = [\n  7, # words, [ { \" here\n  [8],\n]\ng = 9\n", `group@1:1
  a@1:1 group@1:5
    b@1:6 "1"@1:10
    c@1:13 list@1:17
      - "2"@1:18
      - group@1:21
        d@1:22 "3"@1:26
      - list@1:30
        - "4"@1:31
        - "5"@1:34
    e@1:39 "6"@1:43
  f@2:1 list@2:5
    - "7"@3:3
    - list@4:3
      - "8"@4:4
  g@6:1 "9"@6:5
`},
		{"text over lines", "a = \"\"\"\nb = 1\n[c]\n\"\"\"\nd = '''x\ny'''\ne = 2\n", `group@1:1
  a@1:1 "b = 1\n[c]\n"@1:5
  d@5:1 "x\ny"@5:5
  e@7:1 "2"@7:5
`},
		{"quoted and dotted keys", "\"a.b\" = 1\nc.d = 2\nc . 'e' = 3\n", `group@1:1
  a.b@1:1 "1"@1:9
  c@2:1 group@2:1
    d@2:3 "2"@2:7
    e@3:5 "3"@3:11
`},
		{"byte order mark, CRLF, characters", "\ufeffa = \"ä\"\r\n\"ö\" = { ü = 1 }\r\n", `*`},
		{"text as typed", "a = 0x10\nb = 1_000\nc = nan\nd = 1e3\ne = +5\n", `group@1:1
  a@1:1 "0x10"@1:5
  b@2:1 "1_000"@2:5
  c@3:1 "nan"@3:5
  d@4:1 "1e3"@4:5
  e@5:1 "+5"@5:5
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults diag.List
			v := source.TOML("f.toml", []byte(tt.text), &faults)
			if tt.want == "*" {
				const want = "f.toml:2:9: the key is followed by 'ü', not by =; expected lines of the form name = \"text in quotes\""
				if got := list(&faults); got != want {
					t.Errorf("got\n%s\nwant\n%s", got, want)
				}
				return
			}
			if faults.Len() > 0 {
				t.Fatal(list(&faults))
			}
			if got := outline(v); got != tt.want {
				t.Errorf("got\n%swant\n%s", got, tt.want)
			}
		})
	}
}

func TestTOMLFaults(t *testing.T) {
	const hint = "; expected lines of the form name = \"text in quotes\""
	tests := []struct{ name, text, want string }{
		{"no quotes", "a = 1\nname = Rowan\n", "f.toml:2:8: a value begins with Rowan: put text in quotes" + hint},
		{"quote open", "a = 1\nname = \"Rowan\nb = 2\n", "f.toml:2:14: a quote is not closed on its line" + hint},
		{"no equals sign", "a = 1\nname: \"Rowan\"\n", "f.toml:2:5: the key is followed by ':', not by =" + hint},
		{"key twice", "a = 1\nb = 2\na = 3\n", "f.toml:3:1: a is given twice" + hint},
		{"table twice", "[a]\nx = 1\n[a]\ny = 2\n", "f.toml:3:2: a is given twice" + hint},
		{"empty text", "a = \"\"\nb = ' '\nc = [\"\"]\n", "f.toml:1:5: \"a\" has no value; expected a value, or the line removed\nf.toml:2:5: \"b\" has no value; expected a value, or the line removed\nf.toml:3:6: this list item has no value; expected a value, or the line removed"},
		{"not UTF-8", "a = 1\nb = \"\xe4\"\n", "f.toml:2:6: a character is not UTF-8 text; expected the file saved as UTF-8"},
		{"two on a line", "a = 1 b = 2\n", "f.toml:1:6: something stands behind the value: 'b'" + hint},
		{"impossible date", "a = 2031-02-30\n", "f.toml:1:5: the date or time 2031-02-30 does not exist" + hint},
		{"number out of range", "a = 1e1000\n", "f.toml:1:5: the number 1e1000 is out of range" + hint},
		{"whole number out of range", "a = 99999999999999999999\n", "f.toml:1:5: the number 99999999999999999999 is out of range" + hint},
		{"nested too deep", "a = " + strings.Repeat("[", 60) + strings.Repeat("]", 60), "f.toml:1:55: groups lie in one another more than 50 deep"},
		{"bracket open", "a = [1,\nb = 2\n", "f.toml:2:1: a value begins with b: put text in quotes" + hint},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var faults diag.List
			source.TOML("f.toml", []byte(tt.text), &faults)
			if got := list(&faults); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}
