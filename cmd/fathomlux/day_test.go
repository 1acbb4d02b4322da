package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

// TestHeaderCompiles gives the C header, with a name that would break a careless one, to a C compiler where there is one, and reads
// the table back through a program in C.
func TestHeaderCompiles(t *testing.T) {
	t.Parallel()
	d := &result.Day{Channels: []string{`a"b\c??/` + "\n", "µ9"}}
	programs := []scene.Program{{{AtH: 9, Level: 0}, {AtH: 10, Level: 1}, {AtH: 11, Level: 0}}, {{AtH: 0, Level: 0.0123}, {AtH: 24, Level: 0.0123}}}
	table := minuteTable(d, programs)
	if got := table.Rows[570]; len(table.Rows) != 1440 || got[0] != 570 || got[1] != "9:30" || got[2] != 50.0 || got[3] != 1.23 {
		t.Errorf("%d rows, at half past nine %v", len(table.Rows), got)
	}
	header := minuteHeader(table)
	for _, want := range []string{`"a\042b\134c\077\077/\012"`, `"\302\2659"`, "\t{5000, 123}, /* 9:30 */\n"} {
		if !strings.Contains(header, want) {
			t.Errorf("the header lacks %s", want)
		}
	}
	cc, err := exec.LookPath("cc")
	if err != nil {
		t.Skip("no C compiler here")
	}
	dir := t.TempDir()
	source := `#include <stdio.h>
#include "day.h"
int main(void) { printf("%d %d %d %d %d", (int)sizeof fathomlux_day / (int)sizeof fathomlux_day[0], fathomlux_day[570][0],
	fathomlux_day[1439][1], fathomlux_day_names[0][7], fathomlux_day_names[1][2]); return 0; }`
	program := filepath.Join(dir, "program")
	for name, text := range map[string]string{"day.h": header, "main.c": source} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command(cc, "-std=c99", "-Wall", "-Werror", "-o", program, filepath.Join(dir, "main.c")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if out, err := exec.Command(program).Output(); err != nil || string(out) != "1440 5000 123 47 57" { // '/' and '9'
		t.Errorf("the program reads %q: %v", out, err)
	}
}
