package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/document"
	"fathomlux/scene/longtest"
	"fathomlux/scene/parts"
)

// spot is a value of a scene's tree: parent.Content[at] is node.
type spot struct {
	node, parent *yaml.Node
	at           int
	grand        *yaml.Node // the mapping or list around parent
	path         string
}

// spots returns all values below root in the order of the file.
func spots(root *yaml.Node) (list []spot) {
	var walk func(n, grand *yaml.Node, path string)
	walk = func(n, grand *yaml.Node, path string) {
		for i, child := range n.Content {
			below := fmt.Sprintf("%s[%d]", path, i)
			if n.Kind == yaml.MappingNode {
				if i%2 == 0 {
					continue
				}
				below = path + "." + n.Content[i-1].Value
			}
			list = append(list, spot{node: child, parent: n, at: i, grand: grand, path: below})
			walk(child, n, below)
		}
	}
	walk(root, nil, "")
	return list
}

// inKey tells whether the spot is the value of a key.
func (s spot) inKey() bool { return s.parent.Kind == yaml.MappingNode }

// cut takes the value with its key out of the tree.
func (s spot) cut() []*yaml.Node {
	pair := slices.Clone(s.parent.Content[s.at-1 : s.at+1])
	s.parent.Content = slices.Delete(s.parent.Content, s.at-1, s.at+1)
	return pair
}

// mark is a word that stands for raw text of YAML until the tree is written.
const mark = "QQQQ"

// unitful is a number with a unit, or with per cent.
var unitful = regexp.MustCompile(`^[-0-9.e]+ ?([^-0-9. ].*)$`)

// raw returns a change that puts raw text in the place of a value. In it VALUE is what stood there, UNIT its unit.
func raw(text string) change {
	return change{text, func(s spot) (string, bool) {
		unit := unitful.FindStringSubmatch(s.node.Value)
		scalar := s.node.Kind == yaml.ScalarNode
		if strings.Contains(text, "UNIT") && unit == nil || strings.Contains(text, "VALUE") && !scalar {
			return "", false
		}
		out := strings.ReplaceAll(text, "VALUE", s.node.Value)
		if unit != nil {
			out = strings.ReplaceAll(out, "UNIT", unit[1])
		}
		*s.node = yaml.Node{Kind: yaml.ScalarNode, Value: mark}
		return out, true
	}}
}

// change is one way to spoil a value; ok is false where it does not apply. text goes where the mark stands.
type change struct {
	name  string
	apply func(spot) (text string, ok bool)
}

// changes are all ways. Each names a class of slip or of malice.
var changes = append([]change{
	raw(".nan"), raw(".inf"), raw("-.inf"), raw("null"), raw(`""`), raw("0"), raw("-1"), raw("1e-308"), raw("1e308"), raw("0.3"), raw("1e999"),
	raw("1e-308 UNIT"), raw("1e308 UNIT"), raw("0 UNIT"), raw("-1 UNIT"), raw("1e-320 UNIT"), raw("5 qq"), raw("7 mm"), raw("7 W"), raw("1e-308 W"), raw("1e308 mm"), raw("200 %"),
	raw("1e-308 %"), raw("[]"), raw("{}"), raw("[.nan]"), raw("{a: null}"), raw("perhaps"), raw("true"), raw("!foo VALUE"), raw("!!binary VALUE"), raw("!!str VALUE"),
	raw("*nowhere"), raw("&here [*here]"), raw("[&v VALUE, *v]"), raw(`"` + strings.Repeat("x", 5000) + `"`), raw("\"\u200b\u200d\""), raw(`"\e[31m"`), raw("VALUE VALUE"),
	raw("1e-4"), raw("0.99"), raw("1e-4 UNIT"), raw("0.01 UNIT"), raw("20 UNIT"), raw("1e3 UNIT"), raw("1e4 UNIT"), // many are sound: the ends of ranges
},
	change{"key dropped", func(s spot) (string, bool) {
		if s.inKey() {
			s.cut()
		}
		return "", s.inKey()
	}},
	change{"key doubled", func(s spot) (string, bool) {
		if s.inKey() {
			s.parent.Content = append(s.parent.Content, s.parent.Content[s.at-1], s.node)
		}
		return "", s.inKey()
	}},
	change{"item doubled", func(s spot) (string, bool) {
		if !s.inKey() {
			s.parent.Content = append(s.parent.Content, s.node)
		}
		return "", !s.inKey()
	}},
	change{"item dropped", func(s spot) (string, bool) {
		if !s.inKey() {
			s.parent.Content = slices.Delete(s.parent.Content, s.at, s.at+1)
		}
		return "", !s.inKey()
	}},
	change{"key moved out", func(s spot) (string, bool) {
		if !s.inKey() || s.grand == nil || s.grand.Kind != yaml.MappingNode {
			return "", false
		}
		s.grand.Content = append(s.grand.Content, s.cut()...)
		return "", true
	}},
	change{"key moved aside", func(s spot) (string, bool) {
		if !s.inKey() || s.grand == nil {
			return "", false
		}
		for _, other := range s.grand.Content {
			if other != s.parent && other.Kind == yaml.MappingNode {
				other.Content = append(other.Content, s.cut()...)
				return "", true
			}
		}
		return "", false
	}})

// mutate makes one change at the i-th value of a scene; it wraps around. ok is false where the change does not apply.
func mutate(t testing.TB, text []byte, i, change int) (out []byte, name string, ok bool) {
	var document yaml.Node
	if err := yaml.Unmarshal(text, &document); err != nil || len(document.Content) == 0 {
		return nil, "", false // spoilt by a change before this one
	}
	all, c := spots(document.Content[0]), changes[change%len(changes)]
	if len(all) == 0 {
		return nil, "", false
	}
	s := all[i%len(all)]
	put, ok := c.apply(s)
	if !ok {
		return nil, "", false
	}
	out, err := yaml.Dump(&document, yaml.WithIndent(2), yaml.WithLineWidth(-1))
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Replace(out, []byte(mark), []byte(put), 1), fmt.Sprintf("%s: %.40s", s.path, c.name), true
}

// everyKeyScenes are the scenes that have each key, by file name; the parts of one of them stand in a file beside it, too.
func everyKeyScenes(t testing.TB) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	files, err := filepath.Glob(filepath.Join("..", "..", "scene", "testdata", "every-key", "*.yaml"))
	if err != nil || len(files) < 3 {
		t.Fatalf("found scenes %v (%v)", files, err)
	}
	for _, file := range files {
		if all[filepath.Base(file)], err = os.ReadFile(file); err != nil {
			t.Fatal(err)
		}
	}
	return all
}

// besideEveryKey opens what those scenes name.
func besideEveryKey(name string) ([]byte, error) {
	content, ok := map[string]string{
		"more.yaml": "optics: {another: {beam: 30 deg, efficiency: 0.9}}\n",
		"lamp.csv":  "wavelength_nm,power\n400,1\n700,0.5\n",
	}[name]
	if !ok {
		return nil, errors.New("there is no such file")
	}
	return []byte(content), nil
}

// noNumber finds what a figure that is none prints as.
var noNumber = regexp.MustCompile(`[^\n]*(\bNaN\b|[+-]Inf\b|\bInf\b|%!)[^\n]*`)

// noNumberIn returns the line of a text with such a figure. To look for the letters first is a hundred times as fast.
func noNumberIn(text []byte) (line []byte) {
	if bytes.Contains(text, []byte("NaN")) || bytes.Contains(text, []byte("Inf")) || bytes.Contains(text, []byte("%!")) {
		line = noNumber.Find(text)
	}
	return line
}

// patience is how long a mutant may take where a few dozen milliseconds are usual: beyond, a loop has no end.
const patience = 30 * time.Second

// verdict says what is wrong with the reading of a scene, or with the answers to it; sound tells whether it had no fault.
func verdict(text []byte) (wrong string, sound bool) {
	done := make(chan struct{})
	var w string
	var s bool
	go func() {
		defer close(done)
		w, s = judge(text)
	}()
	select {
	case <-done:
		return w, s
	case <-time.After(patience):
		return "endless: no answer after half a minute", false
	}
}

// judge is verdict without an end to its patience.
func judge(text []byte) (wrong string, sound bool) {
	defer func() {
		if p := recover(); p != nil {
			wrong = fmt.Sprintf("panic: %v", p)
		}
	}()
	sc, err := scene.Parse("mutant.yaml", text, besideEveryKey)
	if err == nil {
		return answersWrong(sc), true
	}
	var faults *document.Error
	if !errors.As(err, &faults) || len(faults.Faults) == 0 {
		return fmt.Sprintf("no list of faults: %v", err), false
	}
	for _, f := range faults.Faults {
		if f.File == "" || f.Line < 1 || f.Column < 1 || f.Message == "" || strings.ContainsAny(f.Error(), "\n\r\x1b") {
			return fmt.Sprintf("a fault without a place, or of more than one line: %+v", f), false
		}
	}
	return "", false
}

// answersWrong asks all that can be answered without light, as texts, tables and JSON, and says where a figure is not a number.
func answersWrong(sc *scene.Scene) string {
	for _, one := range []struct {
		name  string
		write func(io.Writer, *scene.Scene) error
	}{{"check", writeCheckOf}, {"parts", writePartsOf}, {"wire", writeWireOf}, {"heat", writeHeatOf}, {"drill", writeDrillOf}} {
		var b bytes.Buffer
		if err := one.write(&b, sc); err != nil {
			b.WriteString(err.Error())
			if strings.Contains(err.Error(), "json: ") {
				return one.name + ": " + err.Error()
			}
		}
		if line := noNumberIn(b.Bytes()); line != nil {
			return fmt.Sprintf("%s: %.200s", one.name, line)
		}
	}
	return ""
}

func writeCheckOf(w io.Writer, sc *scene.Scene) error {
	one := checkGroup(sc.File, sc, findingParts(sc.File, sc, nil))
	return writeAnswerOf(w, answer.Answer{one})
}

// writePartsOf writes the scene's own parts: the figures of built-in ones, which take long, are the same for all scenes.
func writePartsOf(w io.Writer, sc *scene.Scene) error {
	var own answer.Answer
	builtin := parts.Builtin()
	for _, k := range partKinds {
		list := func(c *parts.Catalogue) reflect.Value {
			return reflect.ValueOf(c).Elem().FieldByName(strings.ToUpper(k.key[:1]) + k.key[1:])
		}
		k.names = func(c *parts.Catalogue) (names []string) {
			for _, name := range list(c).MapKeys() {
				one, usual := list(c).MapIndex(name), list(builtin).MapIndex(name)
				if !usual.IsValid() || !reflect.DeepEqual(one.Interface(), usual.Interface()) {
					names = append(names, name.String())
				}
			}
			return names
		}
		own = append(own, k.table(shelf{catalogue: sc.Catalogue, open: sc.Open}))
	}
	return writeAnswerOf(w, own)
}

// writeWireOf writes the answers of wire and of bill, which share the wiring.
func writeWireOf(w io.Writer, sc *scene.Scene) error {
	a, err := wiringOptions{lead: "2 m", feed: "left"}.wire(sc)
	if err != nil {
		return err
	}
	bill := shopping{wired: a, bill: bill.Of(sc, a.groups, 0.1), share: 0.1}
	_, err = io.WriteString(w, buildSheet(bill))
	return errors.Join(err, answer.WriteCSV(w, splitTable(a.groups...)), answer.WriteCSV(w, billTable(bill.bill)), answer.WriteCSV(w, cardTable(a.groups...)),
		writeAnswerOf(w, a.answer(nil)), writeAnswerOf(w, bill.answer()))
}

// writeAnswerOf writes an answer in all forms.
func writeAnswerOf(w io.Writer, a answer.Answer) error {
	return errors.Join(answer.WriteText(w, a), answer.WriteJSON(w, a))
}

func writeHeatOf(w io.Writer, sc *scene.Scene) error {
	a, err := balance(situation{scene: sc}, usualMarginK, usualSamples)
	if err != nil {
		return err
	}
	return errors.Join(answer.WriteCSV(w, a.moduleTable()), answer.WriteCSV(w, alongTable(a.op)), writeAnswerOf(w, a.parts()))
}

func writeDrillOf(w io.Writer, sc *scene.Scene) error {
	list, err := drillPlans(sc, "", false)
	if err != nil {
		return err
	}
	for _, d := range list {
		if err := errors.Join(answer.WriteCSV(w, drillTable(d.Layout)), writeAnswerOf(w, d.answer(0).Parts)); err != nil {
			return err
		}
	}
	return nil
}

// TestSingleMutations spoils the scenes that have each key, one value at a time; in full each value in an eleventh of all ways,
// which differ from value to value. Each is either refused, with places, or sound in all answers.
func TestSingleMutations(t *testing.T) {
	t.Parallel()
	step := longtest.Pick(197, 11)
	for file, text := range everyKeyScenes(t) {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			if wrong, sound := verdict(text); wrong != "" || !sound {
				t.Fatalf("the scene itself: %s", wrong)
			}
			var tree yaml.Node
			if err := yaml.Unmarshal(text, &tree); err != nil {
				t.Fatal(err)
			}
			tried, sound, bad := 0, 0, map[string]int{}
			for k := 0; k < len(spots(tree.Content[0]))*len(changes); k += step {
				mutant, name, ok := mutate(t, text, k/len(changes), k)
				if !ok {
					continue
				}
				tried++
				wrong, serves := verdict(mutant)
				if serves {
					sound++
				}
				if wrong != "" {
					bad[strings.SplitN(wrong, ":", 2)[0]]++
					t.Errorf("%s: %s", name, wrong)
				}
			}
			t.Logf("%d mutants, %d of them sound, wrong: %v", tried, sound, bad)
			if tried < 700/step || sound == 0 && tried > 100 || sound > tried/2 {
				t.Errorf("%d mutants, %d of them sound: the mutator spoils too little or too much", tried, sound)
			}
		})
	}
}

// FuzzMutationPairs makes two changes.
func FuzzMutationPairs(f *testing.F) {
	texts := everyKeyScenes(f)
	f.Add("parts.yaml", uint16(0), uint8(0), uint16(1), uint8(1))
	f.Fuzz(func(t *testing.T, file string, i uint16, first uint8, j uint16, second uint8) {
		mutant, name, ok := mutate(t, texts[file], int(i), int(first))
		if !ok {
			return
		}
		mutant, also, ok := mutate(t, mutant, int(j), int(second))
		if !ok {
			return
		}
		if wrong, _ := verdict(mutant); wrong != "" {
			t.Errorf("%s, %s: %s", name, also, wrong)
		}
	})
}
