package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// billOptions are the options of the command bill, as the caller wrote them.
type billOptions struct {
	wiringOptions
	spare string
}

func newBillCommand(s streams, run func(context.Context, streams, billOptions) error) *cobra.Command {
	var o billOptions
	c := &cobra.Command{
		Use:   "bill SCENE",
		Short: "what to buy, in which order to build, and what a meter should read",
		Long: "Counts the parts of a scene with prices, sums by currency, spares, screws and wire (bill.csv), writes the order of work\n" +
			"with its cautions (build-sheet.txt), and the voltage and current to expect at each terminal (test-card.csv). The wiring is\n" +
			"that of the command wire. The order of work is common practice, no published source.\n\n" + exitStatusDoc,
		Example: "  fathomlux bill scene.yaml\n  fathomlux bill scene.yaml --spare \"20 %\" --lead \"5 m\"",
		Args:    needArgs(1, 1, "fathomlux bill scene.yaml"),
		RunE: func(c *cobra.Command, args []string) error {
			o.scene, o.call = args[0], callText(c, args)
			return run(c.Context(), s, o)
		},
	}
	o.wiringOptions.bind(c)
	c.Flags().StringVar(&o.spare, "spare", "10 %", "modules and optics to buy beside those that are built in, rounded up for each part")
	return c
}

// billPrint is what bill prints about.
type billPrint struct {
	wired
	bill  scene.Bill
	share float64
	dir   string
	files []style.File
}

func runBill(ctx context.Context, s streams, o billOptions) error {
	if _, err := o.look(); err != nil {
		return err
	}
	share, err := parseShare(o.spare)
	if err != nil {
		return fmt.Errorf("--spare: %w", err)
	}
	a, err := o.wire()
	if err != nil {
		return err
	}
	p := billPrint{wired: a, bill: a.scene.Bill(a.groups, share), share: share, dir: o.dir(o.scene)}
	p.files = []style.File{bytesFile("bill.csv", billCSV(p.bill)), bytesFile("build-sheet.txt", []byte(buildSheet(p))), bytesFile("test-card.csv", cardCSV(a))}
	return o.deliver(ctx, s, p.dir, p.files, func(s streams) error {
		if o.json {
			return writeBillJSON(s.Out, p)
		}
		return printBill(s.Out, o, p)
	})
}

// parseShare reads a share from 0 to 1, as "10 %" or 0.1.
func parseShare(text string) (float64, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent {
		v /= 100
	}
	if err != nil || !(v >= 0 && v <= 1) {
		return 0, fmt.Errorf("%.20q is not a share from 0 to 100 %%; write 10 %% or 0.1", text)
	}
	return v, nil
}

// printBill prints the table of parts, or the totals alone.
func printBill(w io.Writer, o billOptions, p billPrint) error {
	var b strings.Builder
	if !o.quiet {
		fmt.Fprintln(&b, titleOr(p.scene.Title))
		writeBillTable(&b, p.bill)
	}
	fmt.Fprintln(&b, totalText(p.bill))
	if !o.quiet {
		fmt.Fprintln(&b, spareText(p.share))
		writeWrote(&b, p.dir, p.files)
		for _, f := range oddities(p.scene) {
			fmt.Fprintf(&b, "warning: %s\n", f.Error())
		}
		for _, line := range p.notes {
			fmt.Fprintf(&b, "note: %s\n", line)
		}
		for _, line := range wiringCautions(p.wired) {
			fmt.Fprintf(&b, "caution: %s\n", line)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// spareText states the margin.
func spareText(share float64) string {
	if share == 0 {
		return "spares: none"
	}
	return fmt.Sprintf("spares: %s %% of modules and optics, rounded up for each part; of wire 10 %% over (common practice, no published source)", number(100*share))
}

// totalText writes the sums by currency.
func totalText(b scene.Bill) string {
	var sums []string
	for _, m := range b.Totals {
		sums = append(sums, moneyText(m))
	}
	text := "total: " + strings.Join(sums, " and ")
	if len(sums) == 0 {
		text = "total: no price is known"
	}
	if b.Blank > 0 {
		text += fmt.Sprintf("; %s without a price not counted", several(b.Blank, "line"))
	}
	return text
}

// amountText writes a number of pieces, or of metres.
func amountText(v float64, in string) string {
	if in == "pcs" {
		return fmt.Sprintf("%.0f", v)
	}
	return unit.Figure(v, 2) + " m"
}

func writeBillTable(w io.Writer, b scene.Bill) { writeTable(w, billRows(b)) }

// billRows are the cells of the bill under their head.
func billRows(b scene.Bill) [][]string {
	rows := [][]string{{"part", "used", "spare", "each", "sum"}}
	for _, l := range b.Lines {
		name := l.Kind + " " + l.Name
		if l.Note != "" {
			name += " (" + l.Note + ")"
		}
		rows = append(rows, []string{name, amountText(l.Used, l.Unit), amountText(l.Spare, l.Unit), moneyText(l.Each), moneyText(l.Sum)})
	}
	return rows
}

// billCSV writes the bill; prices that are not known are empty.
func billCSV(b scene.Bill) []byte {
	var out bytes.Buffer
	fmt.Fprintln(&out, "kind,name,unit,used,spare,buy,each,sum,currency,note")
	for _, l := range b.Lines {
		each, sum := "", ""
		if l.Each.Currency != "" {
			each, sum = g7(l.Each.Amount), g7(math.Round(l.Sum.Amount*100)/100)
		}
		fmt.Fprintf(&out, "%s,%s,%s,%s,%s,%s,%s,%s,%s,%s\n", l.Kind, csvWord(l.Name), l.Unit, g7(l.Used), g7(l.Spare), g7(l.Used+l.Spare), each, sum, l.Each.Currency, csvWord(l.Note))
	}
	return out.Bytes()
}

// cardCSV writes what a meter should read, all points of all drivers.
func cardCSV(a wired) []byte {
	var b bytes.Buffer
	fmt.Fprintln(&b, "driver,string,module,terminal,voltage_v,low_v,high_v,cold_v,across_v,current_ma")
	for i := range a.groups {
		for _, r := range cardRows(a.scene, &a.groups[i]) {
			fmt.Fprintf(&b, "%s,%s,%s,%s,%.2f,%.2f,%.2f,%.2f,%.2f,%.1f\n", csvWord(r.driver), r.stringName, csvWord(r.module), r.Terminal, r.VoltageV, r.LowV, r.HighV, r.ColdV, r.AcrossV, 1000*r.CurrentA)
		}
	}
	return b.Bytes()
}
