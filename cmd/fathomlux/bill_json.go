package main

import "io"

// billJSON is the answer of bill as JSON: keys are stable, units in their names.
type billJSON struct {
	Scene    string         `json:"scene"`
	Title    string         `json:"title"`
	Out      string         `json:"out"`
	Spare    float64        `json:"spare_share"`
	Lines    []billLineJSON `json:"lines"`
	Totals   []moneyJSON    `json:"totals"` // by currency
	Blank    int            `json:"lines_without_price"`
	Notes    []string       `json:"notes"`
	Warnings []faultJSON    `json:"warnings"`
	Cautions []string       `json:"cautions"`
}

type billLineJSON struct {
	Kind  string     `json:"kind"`
	Name  string     `json:"name"`
	Unit  string     `json:"unit"` // pcs or m
	Used  float64    `json:"used"`
	Spare float64    `json:"spare"`
	Each  *moneyJSON `json:"each"` // null where no price is known
	Sum   *moneyJSON `json:"sum"`
	Note  string     `json:"note"`
}

type moneyJSON struct {
	Amount   float64 `json:"amount"`
	Currency string  `json:"currency"`
}

// writeBillJSON writes the answer as one document.
func writeBillJSON(w io.Writer, p billPrint) error {
	out := billJSON{Scene: p.scene.File, Title: p.scene.Title, Out: p.dir, Spare: p.share, Totals: []moneyJSON{}, Blank: p.bill.Blank,
		Notes: append([]string{}, p.notes...), Warnings: faultsJSON(oddities(p.scene)), Cautions: wiringCautions(p.wired)}
	for _, l := range p.bill.Lines {
		one := billLineJSON{Kind: l.Kind, Name: l.Name, Unit: l.Unit, Used: l.Used, Spare: l.Spare, Note: l.Note}
		if l.Each.Currency != "" {
			one.Each = &moneyJSON{Amount: l.Each.Amount, Currency: l.Each.Currency}
			one.Sum = &moneyJSON{Amount: roundTo(l.Sum.Amount, 1e-6), Currency: l.Sum.Currency}
		}
		out.Lines = append(out.Lines, one)
	}
	for _, m := range p.bill.Totals {
		out.Totals = append(out.Totals, moneyJSON{Amount: roundTo(m.Amount, 1e-6), Currency: m.Currency})
	}
	return encodeJSON(w, out)
}
