package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/unit"
)

// billOptions are the options of the command bill, as the caller wrote them.
type billOptions struct {
	wiringOptions
	spare string
}

func newBillCommand(s streams) *cobra.Command {
	var o billOptions
	c := &cobra.Command{
		Use:   "bill SCENE",
		Short: "list what to buy, in which order to build, and what a meter should read",
		Long: `Counts the parts of a scene with prices, sums by currency, spares, screws and wire (bill.csv), and writes the
order of work with its cautions (build-sheet.txt) and the voltage and current to expect at each terminal
(test-card.csv). The wiring is that of the command wire. The order of work is common practice, no published source.`,
		Example: "fathomlux bill scene.yaml\nfathomlux bill scene.yaml --spare \"20 %\" --lead \"5 m\"",
	}
	o.wiringOptions.bind(c)
	bindSpare(c, &o.spare)
	return command(s, c, &o.given, o.run)
}

// bindSpare adds the flag of the commands that count spares.
func bindSpare(c *cobra.Command, spare *string) {
	c.Flags().StringVar(spare, "spare", "10 %",
		"modules and optics to buy in addition to those that are built in, rounded up for each part")
}

// shopping is a bill with what belongs to it.
type shopping struct {
	wired
	bill  bill.Bill
	share float64 // of spares
}

func (o *billOptions) run(ctx context.Context, s streams) error {
	if _, err := o.look(); err != nil {
		return err
	}
	share, err := shareIn("--spare", o.spare, 0, 1)
	if err != nil {
		return err
	}
	a, err := o.read()
	if err != nil {
		return err
	}
	p := shopping{wired: a, bill: bill.Of(a.scene, a.groups, share), share: share}
	files := []output.File{csvFile("bill.csv", billTable(p.bill)), {Name: "build-sheet.txt", Data: []byte(buildSheet(p))},
		csvFile("test-card.csv", cardTable(a.groups...))}
	return o.hand(ctx, s, outcome{scenes: []*scene.Scene{a.scene}, parts: p.answer(), brief: []string{totalText(p.bill)},
		found: p.notes, cautions: p.at("bill"), files: files})
}

// answer is what bill answers.
func (p shopping) answer() answer.Answer {
	totals := answer.Table{Key: "totals", In: answer.JSON, Columns: []answer.Column{{Key: "amount"}, {Key: "currency"}}}
	for _, m := range p.bill.Totals {
		totals.Rows = append(totals.Rows, []any{roundTo(m.Amount, 1e-6), m.Currency})
	}
	return answer.Answer{answer.Figure{Key: "spare_share", Value: p.share}, billTable(p.bill), totals,
		answer.Lines{List: []string{totalText(p.bill), spareText(p.share)}, In: answer.People},
		answer.Figure{Key: "lines_without_price", Value: p.bill.Blank}}
}

// spareText states the margin.
func spareText(share float64) string {
	if share == 0 {
		return "spares: none"
	}
	return fmt.Sprintf("spares: %s %% of modules and optics, rounded up for each part; of wire 10 %% over (common "+
		"practice, no published source)", number(100*share))
}

// totalText writes the sums by currency.
func totalText(b bill.Bill) string {
	var sums []string
	for _, m := range b.Totals {
		sums = append(sums, moneyText(m))
	}
	text := "total: " + strings.Join(sums, " and ")
	if len(sums) == 0 {
		text = "total: no price is known"
	}
	if b.Blank > 0 {
		text += fmt.Sprintf("; %s without a price not counted", unit.Several(b.Blank, "line"))
	}
	return text
}

// billTable is the bill; prices that are not known are missing.
func billTable(b bill.Bill) answer.Table {
	t := answer.Table{Key: "lines", Title: "Bill of parts", Sorts: true, Columns: []answer.Column{
		{Key: "kind", Title: "part"}, {Key: "name", Title: "name"}, {Key: "unit", Title: "unit"},
		{Key: "used", Title: "used", Say: number}, {Key: "spare", Title: "spare", Say: number},
		{Key: "buy", Title: "buy", Say: number}, col("each", "each", "", 2), col("sum", "sum", "", 2),
		{Key: "currency", Title: "currency"}, {Key: "note", Title: "note"}}}
	for _, l := range b.Lines {
		priced := l.Each.Currency != ""
		t.Rows = append(t.Rows, []any{l.Kind, l.Name, l.Unit, l.Used, l.Spare, l.Used + l.Spare,
			optional(l.Each.Amount, priced), optional(roundTo(l.Sum.Amount, 1e-6), priced), l.Each.Currency, l.Note.Words(unit.Metric)})
	}
	return t
}
