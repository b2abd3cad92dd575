package words

import (
	"maps"
	"slices"
	"strings"
)

// Catalogue holds the words of one language, and how it writes numbers and
// days. It never changes once made and may be used by many at once.
type Catalogue struct {
	language string
	writes   writing
	words    map[string]string
}

// group is one literal table: the prefix of its codes, empty for sentences
// with plain codes, and the words.
type group struct {
	prefix string
	words  map[string]string
}

// language is what the file of a language holds.
type language struct {
	tag    string
	name   string // as those who speak it call it
	writes writing
	groups []group
}

// writing is how a language writes what is no word.
type writing struct {
	mark   string // before decimals
	day    string // as time.Format takes it
	lowers bool   // names of things begin small inside a sentence
}

var english = build(englishLanguage, nil)

// languages holds the catalogues in the order of models.Languages. All but
// English have the words of paper alone, and say everything else in English.
var languages = []*Catalogue{english, build(german, english)}

// In gives the catalogue of a language, by its tag ("en", "en-GB"). English is
// given for a language that has none; the answer is never nil.
func In(language string) *Catalogue {
	tag, _, _ := strings.Cut(strings.ToLower(language), "-")
	for _, c := range languages {
		if c.language == tag {
			return c
		}
	}
	return english
}

// All lists the catalogues, the language of the pages first.
func All() []*Catalogue { return slices.Clone(languages) }

// nameOfLanguage is the code of a language's own name.
const nameOfLanguage = "language"

func build(l language, base *Catalogue) *Catalogue {
	c := &Catalogue{language: l.tag, writes: l.writes, words: map[string]string{}}
	if base != nil {
		maps.Copy(c.words, base.words)
	}
	for _, g := range l.groups {
		for code, text := range g.words {
			c.words[g.prefix+code] = text
		}
	}
	c.words[nameOfLanguage] = l.name
	return c
}

// Name is how those who speak the language call it.
func (c *Catalogue) Name() string { return c.words[nameOfLanguage] }

// Language is the tag of the catalogue's language.
func (c *Catalogue) Language() string { return c.language }

// Has says whether a code has words.
func (c *Catalogue) Has(code string) bool {
	_, ok := c.words[code]
	return ok
}

// Codes lists every code that has words, sorted.
func (c *Catalogue) Codes() []string { return slices.Sorted(maps.Keys(c.words)) }

// Say gives the words of a code with its values filled in. A code without
// words comes back in brackets; a value that was not given leaves its name in
// braces, so that neither passes unseen.
func (c *Catalogue) Say(code string, values map[string]string) string {
	text, ok := c.words[code]
	if !ok {
		return "[" + code + "]"
	}
	return fill(text, values)
}

// fill puts values in the place of their names in braces. Braces inside a
// value are left as they are: a value is never read as a pattern.
func fill(text string, values map[string]string) string {
	if !strings.Contains(text, "{") {
		return text
	}
	var b strings.Builder
	for {
		start := strings.IndexByte(text, '{')
		if start < 0 {
			break
		}
		length := strings.IndexByte(text[start:], '}')
		if length < 0 {
			break
		}
		b.WriteString(text[:start])
		name := text[start+1 : start+length]
		if value, ok := values[name]; ok {
			b.WriteString(value)
		} else {
			b.WriteString("{" + name + "}")
		}
		text = text[start+length+1:]
	}
	b.WriteString(text)
	return b.String()
}

// named looks a code up in a group, and says the code in brackets when it has
// no words there. An empty code has an empty name.
//
//go:noinline
func (c *Catalogue) named(prefix, code string) string {
	if code == "" {
		return ""
	}
	if text, ok := c.words[prefix+code]; ok {
		return text
	}
	return "[" + code + "]"
}
