package audit

import "fmt"

// bonds puts on the loads what the record says of their running together, each
// as a line of the register.
func (p *loadPass) bonds() {
	lang := p.rec.Words
	for n, b := range p.rec.Bonds() {
		name := fmt.Sprintf("bond-%d", n+1)
		for _, i := range b.Loads {
			if b.InOrder {
				p.model[i].inOrder = name
			} else {
				p.model[i].apart = name
			}
		}
		for _, i := range b.Loads {
			l := p.rec.Loads[i]
			for _, other := range l.Runs.Never {
				p.register.add(lang.F("%s and %s", capital(inSentence(l.Name.Value)), inSentence(p.nameOf(other.Value))), lang.S("never at the same time"), because(lang, l.Because), other.Pos, p.model[i].id+"duty", false)
			}
			if a := l.Runs.After; a.IsSet() {
				p.register.add(capital(inSentence(l.Name.Value)), lang.F("only while %s runs", inSentence(p.nameOf(a.Value))), because(lang, l.Because), a.Pos, p.model[i].id+"duty", false)
			}
		}
	}
}

func (p *loadPass) nameOf(id string) string {
	for _, l := range p.rec.Loads {
		if l.ID.Value == id {
			return l.Name.Value
		}
	}
	return id
}
