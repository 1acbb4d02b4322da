package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

type billOptions struct {
	wiringOptions
	spare string
}

func newBillCommand(s streams) *cobra.Command {
	var o billOptions
	c := &cobra.Command{
		Use:   "bill SCENE",
		Short: "list what to buy, the order of work, and what a meter should read",
		Long: `Counts the parts of a scene with prices, sums by currency, spares, screws and wire (bill.csv), and writes the
order of work with its cautions (build-sheet.txt) and the voltage and current to expect at each terminal
(test-card.csv). The wiring is that of the command wire. The order of work is common practice, no published source.`,
		Example: "fathomlux bill scene.yaml\nfathomlux bill scene.yaml --spare \"20 %\" --lead \"5 m\"",
	}
	o.wiringOptions.bind(c)
	bindSpare(c, &o.spare)
	return command(s, c, &o.given, o.run)
}

func bindSpare(c *cobra.Command, spare *string) {
	c.Flags().StringVar(spare, "spare", "10 %",
		"spare modules and optics to buy, as a share, rounded up for each part")
}

// shopping is a bill with what belongs to it.
type shopping struct {
	wired
	bill  bill.Bill
	share float64 // of spares
}

func (o *billOptions) run(ctx context.Context, s streams) error {
	_, err := o.look()
	share, errShare := shareIn("--spare", o.spare, 0, 1)
	a, errWiring := o.read()
	if err := errors.Join(err, errShare, errWiring); err != nil {
		return err
	}
	p := shopping{wired: a, bill: bill.Of(a.scene, a.groups, share), share: share}
	files := []output.File{csvFile("bill.csv", billTable(p.bill)), {Name: "build-sheet.txt", Data: []byte(buildSheet(p))},
		csvFile("test-card.csv", cardTable(a.groups...))}
	return o.hand(ctx, s, outcome{scenes: []*scene.Scene{a.scene}, parts: p.answer(), brief: []string{totalText(p.bill)},
		found: p.notes, cautions: p.at("bill"), files: files})
}

func (p shopping) answer() answer.Answer {
	totals := answer.TableOf("totals", keys("amount", "currency"), p.bill.Totals, func(m parts.Money) []any {
		return []any{roundTo(m.Amount, 1e-6), m.Currency}
	})
	return answer.Answer{answer.Figure{Key: "spare_share", Value: p.share}, billTable(p.bill), totals,
		answer.Lines{List: []string{totalText(p.bill), spareText(p.share)}, In: answer.People},
		answer.Figure{Key: "lines_without_price", Value: p.bill.Blank}}
}

func spareText(share float64) string {
	if share == 0 {
		return "spares: none"
	}
	return fmt.Sprintf("spares: %s %% of modules and optics, rounded up for each part, and 10 %% of wire (common "+
		"practice, no published source)", number(100*share))
}

func totalText(b bill.Bill) string {
	text := "total: " + cmp.Or(strings.Join(each(b.Totals, moneyText), " and "), "no price is known")
	if b.Blank > 0 {
		text += fmt.Sprintf(", without the price of %s", unit.Several(b.Blank, "line"))
	}
	return text
}

// billTable is the bill; prices that are not known are missing.
func billTable(b bill.Bill) answer.Table {
	short := func(v float64) string { return unit.Short(v, 2) }
	t := answer.Table{Key: "lines", Title: "Bill of parts", Columns: []answer.Column{
		{Key: "kind", Title: "part"}, {Key: "name", Title: "name"}, {Key: "unit", Title: "unit"},
		{Key: "used", Title: "used", Say: short}, {Key: "spare", Title: "spare", Say: short},
		{Key: "buy", Title: "buy", Say: short}, col("each", "each", "", 2), col("sum", "sum", "", 2),
		{Key: "currency", Title: "currency"}, {Key: "note", Title: "note"}}}
	for _, l := range b.Lines {
		priced := l.Each.Currency != ""
		t.Rows = append(t.Rows, []any{l.Kind, l.Name, l.Unit, l.Used, l.Spare, l.Used + l.Spare,
			optional(l.Each.Amount, priced), optional(roundTo(l.Sum.Amount, 1e-6), priced), l.Each.Currency,
			l.Note.Words(unit.Metric)})
	}
	return t
}

// blank is a cell to write into.
const blank = "________"

// cardTable is the test card of some drivers; none of a driver that does not fit: its currents would be others.
func cardTable(groups ...wiring.Group) answer.Table {
	t := answer.Table{Columns: []answer.Column{{Key: "name"}, {Key: "driver"}, {Key: "string", Title: "string"},
		{Key: "module", Title: "module"}, {Key: "terminal", Title: "terminal"}, col("voltage_v", "warm", "V", 1),
		col("low_v", "from", "V", 1), col("high_v", "to", "V", 1), col("cold_v", "cold", "V", 1),
		col("across_v", "across", "V", 1), col("current_ma", "current", "mA", 0), {Title: "read, V", In: answer.Page}}}
	cent := func(v float64) float64 { return roundTo(v, 0.01) }
	for _, g := range groups {
		if !g.Chosen.Fed() {
			continue
		}
		driver := g.Chosen.Fit.Driver.Name
		t.Title = "Test card, driver " + g.Name + " (" + driver + ")"
		for _, p := range g.Card {
			var number any // of the string; nothing and no module at the driver itself
			module := ""
			if p.String >= 0 {
				number = g.Number(p.String)
			}
			if p.Module >= 0 {
				module = g.Circuit.Strings[p.String][p.Module].Name
			}
			t.Rows = append(t.Rows, []any{g.Name, driver, number, module, p.Terminal, cent(p.VoltageV), cent(p.LowV),
				cent(p.HighV), cent(p.ColdV), cent(p.AcrossV), roundTo(1000*p.CurrentA, 0.1), blank})
		}
	}
	return t
}

// step is one step of the work; place names it to the cautions that belong to it.
type step struct{ place, what string }

// lowTestShare is the current of the first test as a share of the wanted one. Common practice, no published source.
const lowTestShare = 0.1

// buildSteps is the order of work of the trade: common practice, no published source. Where no module has a driver that
// fits, nothing is joined, tested or switched on.
func buildSteps(a *wired) []step {
	rails := layouts(a.scene)
	steps := []step{
		{"cut", "Cut the rails and drill them (see the command drill). " + holdsText(rails) + " Wipe off oil and chips."},
		{"solder", "Tin the pads of the boards and the ends of the leads, and solder all leads before a board " +
			"is on the rail: the rail would draw heat away from the joint. Mark plus and minus. " + leadsText(a)},
		{"compound", "Spread thermal compound on the back of each board, thinly and without gaps; a dry joint has " +
			"several times the thermal resistance."},
		{"", "Screw the boards down with insulating washers, tightening crosswise, until they lie flat. Check with a " +
			"meter that no lead is connected to the rail."},
		{"", "Fit the optics. Keep fingers and compound off dies and lenses."},
		{"find", "Find a driver first: no known driver can feed these modules as they are wired. Until one does, connect " +
			"no strings, test nothing and switch nothing on; the strings below say what would fit."},
		{"join", "Connect the modules of each string in the order given below, plus to minus, and insulate each joint." +
			fusesText(a)},
		{"test", "Bench test, one string at a time, with the light facing the bench: " + lowTestText(a) +
			" Every module must light up."},
		{"connect", "Connect the strings to the driver with the mains off: a constant-current driver that is already on " +
			"gives the strings a surge. Switch on, and after half an hour compare with the test card."},
		{"", ingressText(a.scene)},
		{"hang", "Hang the light. " + unit.Capital(hangingText(rails, a.units)) + ". Add a safety cord that carries each " +
			"rail alone. Keep joints above the rim and out of the spray, and leave room for air around the rail."},
		{"warm", "After the first two hours, measure the temperature of the rail before anybody touches it."},
	}
	without := "join test connect warm"
	if slices.ContainsFunc(a.groups, func(g wiring.Group) bool { return g.Chosen.Fed() }) {
		without = "find"
	}
	return slices.DeleteFunc(steps, func(s step) bool { return slices.Contains(strings.Fields(without), s.place) })
}

// leadsText says which wire goes where.
func leadsText(a *wired) string {
	var list []string
	for _, g := range a.groups {
		for i, w := range g.Wires {
			if advice := w.Advice(); advice != "" {
				list = append(list, fmt.Sprintf("string %d: %s m of %s", g.Number(i), unit.Figure(w.LengthM, 2), advice))
			}
		}
	}
	if len(list) == 0 {
		return ""
	}
	return "Wire needed, out and back: " + strings.Join(list, "; ") + "."
}

func fusesText(a *wired) (text string) {
	for _, g := range a.groups {
		if fuse := g.Guard.FuseName(); fuse != "" {
			text += fmt.Sprintf(" Put a fuse of %s into the plus lead of each string of driver %s, near the driver.", fuse,
				g.Name)
		}
	}
	return text
}

func lowTestText(a *wired) string {
	var list []string
	for _, g := range a.groups {
		if s := g.Chosen.Split; g.Chosen.Fed() {
			one := fmt.Sprintf("%.0f mA and %.0f V for each string of %d", 1000*lowTestShare*g.CurrentA(), s.HighestV,
				s.PerString)
			if !slices.Contains(list, one) {
				list = append(list, one)
			}
		}
	}
	return "limit the supply to " + strings.Join(list, "; to ") + "."
}

// sheetWidth is how wide the build sheet's text is, in letters.
const sheetWidth = 96

// buildSheet writes the sheet: order of work with its cautions, strings, test cards, what to buy.
func buildSheet(p shopping) string {
	var b strings.Builder
	fmt.Fprintf(&b, "BUILD SHEET: %s\n\n", titleOr(p.scene.Title))
	writeWrapped(&b, "", "The order of work is common practice, no published source. Figures are computed for "+
		p.junctions+". "+unit.Capital(codesDecide)+".")
	fmt.Fprintln(&b, "\nORDER OF WORK")
	for i, s := range buildSteps(&p.wired) {
		writeWrapped(&b, fmt.Sprintf("%2d. [ ] ", i+1), s.what)
		for _, c := range p.at(s.place) {
			writeWrapped(&b, "        CAUTION: ", c)
		}
	}
	for i := range p.groups {
		writeSheetStrings(&b, p.scene, &p.groups[i])
	}
	fmt.Fprintf(&b, "\nWHAT TO BUY\n")
	// a builder takes all
	_ = answer.WriteText(&b, answer.Answer{billTable(p.bill), answer.Lines{List: []string{totalText(p.bill),
		spareText(p.share)}}})
	return b.String()
}

func writeSheetStrings(w io.Writer, sc *scene.Scene, g *wiring.Group) {
	fmt.Fprintf(w, "\nSTRINGS of driver %s, modules at %s mA\n", g.Name, tenth(1000*g.CurrentA()))
	writeWrapped(w, "  ", g.Choice(sc).Say(unit.Metric))
	for _, line := range stringLines(g) {
		writeWrapped(w, "  ", line)
	}
	fmt.Fprintln(w)
	_ = answer.WriteText(w, cardParts(g)) // a builder takes all
}

// cardParts are the test card of one driver, or why there is none.
func cardParts(g *wiring.Group) answer.Answer {
	t := cardTable(*g)
	if len(t.Rows) == 0 {
		why := "no driver fits"
		if g.Chosen.Fit != nil {
			why = "the driver does not fit"
		}
		return answer.Answer{answer.Lines{List: []string{fmt.Sprintf("no test card for driver %s: %s", g.Name, why)}}}
	}
	return answer.Answer{answer.Lines{List: []string{t.Title +
		": what a meter should read against the driver's minus, all strings on, wire losses neglected"}}, t}
}

// writeWrapped writes text behind a lead, broken between words, further lines indented as far as the lead.
func writeWrapped(w io.Writer, lead, text string) {
	lines := strings.TrimRight(filled(text, sheetWidth-len(lead)), "\n")
	fmt.Fprintln(w, lead+strings.ReplaceAll(lines, "\n", "\n"+strings.Repeat(" ", len(lead))))
}
