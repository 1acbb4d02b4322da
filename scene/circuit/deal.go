package circuit

import "fmt"

// Deal returns the modules of each string, by index and from the driver's plus on, as Splits deals them. It looks at
// places, kinds and currents alone: no driver, voltage or temperature is needed. The error says why the modules do not
// divide so.
func Deal(job Job, strings int) ([][]int, error) {
	if len(job.Modules) == 0 {
		return nil, ErrNothing
	}
	if err := sameCurrent(job.Modules); err != nil {
		return nil, err
	}
	if strings < 1 || len(job.Modules)%strings != 0 {
		return nil, fmt.Errorf("%s cannot be divided into %s of equal length", count(len(job.Modules), "module"), count(strings, "string"))
	}
	kinds, names := kindsOf(job.Modules)
	if refused := unequal(kinds, names, strings); refused != "" {
		return nil, fmt.Errorf("%s", refused)
	}
	for i, m := range job.Modules {
		if !finite(m.AlongM) || m.Rail < 0 {
			return nil, fmt.Errorf("module %s: its place is not a finite number on a rail", m.called(i))
		}
	}
	return seriesOrder(job, dealModules(job, kinds, strings), strings), nil
}
