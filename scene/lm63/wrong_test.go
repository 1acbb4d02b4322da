package lm63_test

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene/document"
	"fathomlux/scene/lm63"
)

// sound is a small file that a case changes: old, new, old, new.
const sound = `IESNA:LM-63-2002
[TEST] none
[MANUFAC] nobody
TILT=NONE
1 -1 1.0 3 2 1 2 -0.02 -0.02 0
1.0 1 5
0 45 90
0 90
100 50 10
100 40 5
`

func change(t *testing.T, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("the file has no %q", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// TestTakenWithAWord holds what is accepted, and the warning that comes with it, "" for none.
func TestTakenWithAWord(t *testing.T) {
	for name, c := range map[string]struct {
		pairs []string
		want  string
	}{
		"sound":                   {nil, ""},
		"byte order mark":         {[]string{"IESNA:", "\ufeffIESNA:"}, ""},
		"CR alone":                {[]string{"\n", "\r", "none\n", "none\r"}, ""},
		"old end of file":         {[]string{"100 40 5\n", "100 40 5\r\n\x1a\x00\x00\n\n"}, ""},
		"Latin-1":                 {[]string{"nobody", "n\xf6body \x07"}, ""},
		"UTF-8":                   {[]string{"nobody", "n\u00f6body"}, ""},
		"blank in the first line": {[]string{"IESNA:LM", "IESNA: LM"}, `x.ies:1:1: the line "IESNA: LM-63-2002" is taken as IESNA:LM-63-2002`},
		"blank behind it":         {[]string{"2002\n", "2002 \n"}, `1:1: the line "IESNA:LM-63-2002" is taken as`},
		"lower case":              {[]string{"IESNA:LM", "iesna:lm"}, "is taken as IESNA:LM-63-2002"},
		"other name of 2019":      {[]string{"IESNA:LM-63-2002", "IES:LM-63-19"}, "is taken as IES:LM-63-2019"},
		"unknown first line":      {[]string{"IESNA:LM-63-2002", "IESNA:LM-63-2044"}, `names no known revision; the file is taken as IESNA:LM-63-1995`},
		"no first line":           {[]string{"IESNA:LM-63-2002\n", ""}, "x.ies:1:1: keywords, but no first line that names the revision"},
		"free text in 1991":       {[]string{"IESNA:LM-63-2002\n", "IESNA91\nsome words\n"}, ""},
		"keyword without end":     {[]string{"[TEST]", "[TEST"}, ""},
		"TILT with blanks":        {[]string{"TILT=NONE", "TILT = NONE"}, `4:1: the line "TILT = NONE" is taken as TILT=NONE`},
		"tilt in small letters":   {[]string{"TILT=NONE", "Tilt=none"}, `"Tilt=none" is taken as TILT=NONE`},
		"blank behind TILT":       {[]string{"TILT=NONE", "TILT=NONE "}, "is taken as TILT=NONE"},
		"tilt file":               {[]string{"TILT=NONE", "TILT=../lamp.tlt"}, `the tilt factors of the file "../lamp.tlt" are not read`},
		"tilt table":              {[]string{"TILT=NONE", "TILT=INCLUDE\n1 2 0 90 1 0.9"}, "the tilt factors, made for discharge lamps, are not applied"},
		"tabs":                    {[]string{"0 45 90", "0\t45\t90", "1 -1", "\t1\t-1"}, ""},
		"number forms":            {[]string{"100 50 10", "1.0D+02 5e1 +10.", "0 90\n", ".0 9.E1\n"}, ""},
		"counts with a point":     {[]string{"1.0 3 2", "1.0 3.0 2.0"}, ""},
		"several lamps":           {[]string{"1 -1", "4 -1"}, ""},
		"lumens of 0":             {[]string{"1 -1", "1 0"}, `5:3: "0" lumens of one lamp (field 2) have no meaning`},
		"trailing zeros":          {[]string{"100 40 5\n", "100 40 5\n0 0\n"}, "11:1: 2 zeros follow the last candela value"},
		"open circle":             {[]string{"0 90\n", "0 345\n"}, "8:3: the horizontal angles end at 345 without 360; the circle is closed with the data at 0"},
		"360 differs":             {[]string{"0 90\n", "0 360\n"}, "the values at horizontal angle 360 differ from those at 0, first at vertical angle 45"},
		"90 to 270, old":          {[]string{"IESNA:LM-63-2002", "IESNA91", "0 90\n", "90 270\n"}, ""},
		"ends at 85":              {[]string{"0 45 90", "0 45 85"}, "7:6: the vertical angles end at 85°, where there are still 10 cd (10 % of the peak); beyond it is dark"},
		"ends at 85 in the dark":  {[]string{"0 45 90", "0 45 85", "50 10", "50 0", "40 5", "40 0"}, ""},
		"feet for metres":         {[]string{"-0.02 -0.02", "-4 -0.02"}, "5:18: the width of the opening (field 8) is 4 m; feet and metres (field 7) may be mixed up"},
		"slightly negative":       {[]string{"40 5\n", "40 -0.05\n"}, "1 intensities are slightly negative"},
		"field 12 of 2002":        {[]string{"1.0 1 5", "1.0 0.9 5"}, "6:5: field 12 is 0.9 where the revision of 2002 has 1; it is not applied"},
		"field 12 of 2019":        {[]string{"IESNA:LM-63-2002", "IES:LM-63-2019", "1.0 1 5", "1.0 3 5"}, "field 12 is 3, which is not a file generation type of 2019"},
		"planes disagree":         {[]string{"100 40", "90 40"}, "the planes disagree straight down, from 90 to 100 cd"},
		"negative watts":          {[]string{"1.0 1 5", "1.0 1 -5"}, `6:7: "-5" input watts`},
	} {
		text := change(t, sound, c.pairs...)
		if name == "CR alone" {
			text = strings.ReplaceAll(text, "\n", "\r")
		}
		f, err := lm63.Read("x.ies", []byte(text))
		if err != nil {
			t.Errorf("%s: refused: %v", name, err)
			continue
		}
		if len(f.Theta) != 3 || at(f, 45, 0) != 50 && at(f, 45, 90) != 50 {
			t.Errorf("%s: read as %+v", name, f)
		}
		switch {
		case c.want == "" && len(f.Warnings) > 0:
			t.Errorf("%s: warns %v", name, f.Warnings)
		case c.want != "" && (len(f.Warnings) != 1 || !strings.Contains(f.Warnings[0].String(), c.want)):
			t.Errorf("%s: %v does not say %q", name, f.Warnings, c.want)
		}
	}
}

// TestRefusedWithPlaceAndCure holds the whole message of what is refused.
func TestRefusedWithPlaceAndCure(t *testing.T) {
	for name, c := range map[string]struct {
		pairs []string
		want  string
	}{
		"no tilt":               {[]string{"TILT=NONE\n", ""}, "x.ies: no line starts with TILT=; it stands between the header and the numbers, mostly as TILT=NONE"},
		"nothing behind tilt":   {[]string{"TILT=NONE", "TILT="}, "x.ies:4:1: nothing stands behind TILT=; write TILT=NONE"},
		"keyword after tilt":    {[]string{"TILT=NONE\n", "TILT=NONE\n[MORE] words\n"}, "x.ies:5:1: a keyword after TILT=; move it above that line"},
		"empty field":           {[]string{"0 45 90", "0,,45,90"}, "x.ies:7:3: an empty field: there is no number before this comma; remove the comma or give the number"},
		"semicolons":            {[]string{"0 90\n", "0;90\n"}, `x.ies:8:1: "0;90" holds a semicolon; part numbers by blanks or commas`},
		"exponent with blank":   {[]string{"100 50", "1.0E 02 50"}, `x.ies:9:1: "1.0E" ends in its exponent; remove the blank within the number`},
		"exponent, sign, blank": {[]string{"100 50", "1.0E+ 02 50"}, `x.ies:9:1: "1.0E+" ends in its exponent; remove the blank within the number`},
		"NaN":                   {[]string{"50 10", "NaN 10"}, `x.ies:9:5: "NaN" is not a number; give a decimal number such as 12.5`},
		"Inf":                   {[]string{"50 10", "Inf 1#QNAN"}, `x.ies:9:5: "Inf" is not a number; give a decimal number such as 12.5` + "\n" + `x.ies:9:9: "1#QNAN" is not a number; give a decimal number such as 12.5`},
		"hexadecimal":           {[]string{"50 10", "0x1p3 10"}, `x.ies:9:5: "0x1p3" is not a number; give a decimal number such as 12.5`},
		"too large":             {[]string{"50 10", "1e999 10"}, `x.ies:9:5: "1e999" is too large; numbers up to 1e+09 are allowed`},
		"field 12 left out":     {[]string{"1.0 1 5", "1.0 5"}, "x.ies:6:1: only two numbers stand before the angles: field 12 is missing; write ballast factor, 1 and input watts"},
		"fewer values":          {[]string{"100 40 5\n", "100 40\n"}, "x.ies:10:1: the file ends early: expected 6 candela values (2 horizontal by 3 vertical angles), found 5"},
		"ends in the angles":    {[]string{"0 90\n100 50 10\n100 40 5\n", "0\n"}, "x.ies:8:1: the file ends where a horizontal angle is due"},
		"ends at once":          {[]string{sound[strings.Index(sound, "1 -1"):], ""}, "x.ies:4:1: the file ends where the number of lamps (field 1) is due"},
		"more values":           {[]string{"100 40 5\n", "100 40 5\n7 8 9\n"}, "x.ies:11:1: too many numbers: expected 6 candela values, found 3 more; check the counts of angles"},
		"decimal commas":        {[]string{"100 50 10", "100,5 50,5 10,5"}, "x.ies:9:4: a comma within a number, as in 0,5, parts two numbers and would spoil all counts; write decimal points\nx.ies:10:1: too many numbers: expected 6 candela values, found 3 more; check the counts of angles"},
		"angle twice":           {[]string{"0 45 90", "0 45 45"}, "x.ies:7:6: the vertical angle 45 is there twice"},
		"angles fall":           {[]string{"0 45 90", "0 95 90"}, "x.ies:7:6: the vertical angles do not rise: 90 follows 95"},
		"angles too close":      {[]string{"0 45 90", "0 89.9999 90"}, "x.ies:7:11: the vertical angles 89.9999 and 90 are closer than 0.001°"},
		"begins at 5":           {[]string{"0 45 90", "5 45 90"}, "x.ies:7:1: the vertical angles begin at 5; those of type C begin at 0 (straight down) or 90"},
		"beyond 180":            {[]string{"0 45 90", "0 45 190"}, "x.ies:7:6: the vertical angles run to 190; those of type C end at 90 or 180"},
		"H from -90":            {[]string{"0 90\n", "-90 90\n"}, "x.ies:8:1: horizontal angles from -90 to 90 stand for no symmetry of type C; they are 0 alone, or run from 0 to 90, 180 or 360, or from 90 to 270"},
		"H to 45":               {[]string{"0 90\n", "0 45\n"}, "x.ies:8:1: horizontal angles from 0 to 45 stand for no symmetry of type C; they are 0 alone, or run from 0 to 90, 180 or 360, or from 90 to 270"},
		"multiplier 0":          {[]string{"1 -1 1.0", "1 -1 0"}, `x.ies:5:6: the multiplier (field 3) is "0"; give a factor from 1e-06 to 1e+06, mostly 1`},
		"ballast factor 0":      {[]string{"1.0 1 5", "0 1 5"}, `x.ies:6:1: the ballast factor (field 11) is "0"; give a factor from 1e-06 to 1e+06, mostly 1`},
		"field 12 of 1991, 0":   {[]string{"IESNA:LM-63-2002", "IESNA91", "1.0 1 5", "1.0 0 5"}, `x.ies:6:5: the ballast-lamp photometric factor (field 12) is "0"; give a factor from 1e-06 to 1e+06, mostly 1`},
		"type 0, units 3":       {[]string{"3 2 1 2", "3 2 0 3"}, `x.ies:5:14: the photometric type (field 6: 1 for C, 2 for B, 3 for A) is "0"; give a whole number from 1 to 3` + "\n" + `x.ies:5:16: the units (field 7: 1 for feet, 2 for metres) is "3"; give a whole number from 1 to 2`},
		"type 4":                {[]string{"3 2 1 2", "3 2 4 2"}, `x.ies:5:14: the photometric type (field 6: 1 for C, 2 for B, 3 for A) is "4"; give a whole number from 1 to 3`},
		"units 0":               {[]string{"3 2 1 2", "3 2 1 0"}, `x.ies:5:16: the units (field 7: 1 for feet, 2 for metres) is "0"; give a whole number from 1 to 2`},
		"negative":              {[]string{"40 5\n", "40 -5\n"}, "x.ies:10:8: a negative intensity of -5 cd"},
		"B with angles of C":    {[]string{"3 2 1 2", "3 2 2 2", "0 45 90", "0 45 180", "0 90\n", "0 360\n"}, "x.ies:5:14: type and angles disagree: type 2 (B) has angles from -90 to 90, and these run to 180 and 360; type 1 (C) goes with them"},
		"type B":                {[]string{"3 2 1 2", "3 2 2 2", "0 45 90", "-90 0 90"}, "x.ies:5:14: photometric type 2 (B), as for floodlights and headlamps, is not read; have the file written as type 1 (C)"},
		"type A":                {[]string{"3 2 1 2", "3 2 3 2"}, "x.ies:5:14: photometric type 3 (A), as for floodlights and headlamps, is not read; have the file written as type 1 (C)"},
		"count of half":         {[]string{"1.0 3 2", "1.0 3.5 2"}, `x.ies:5:10: the number of vertical angles (field 4) is "3.5"; give a whole number from 2 to 100000`},
		"one vertical":          {[]string{"1.0 3 2", "1.0 1 2"}, `x.ies:5:10: the number of vertical angles (field 4) is "1"; give a whole number from 2 to 100000`},
		"millions":              {[]string{"1.0 3 2", "1.0 3 2000000"}, `x.ies:5:12: the number of horizontal angles (field 5) is "2000000"; give a whole number from 1 to 100000`},
		"too many together":     {[]string{"1.0 3 2", "1.0 1000 1000"}, "x.ies:5:10: 1000 by 1000 angles are more than the limit of 100000 values"},
		"tilt count":            {[]string{"TILT=NONE", "TILT=INCLUDE\n1 0"}, `x.ies:5:3: the number of tilt angles is "0"; give a whole number from 1 to 1000`},
		"dark":                  {[]string{"100 50 10", "0 0 0", "100 40 5", "0 0 0"}, "x.ies: the file holds no light: all candela values are 0"},
		"zero byte":             {[]string{"none\n", "no\x00ne\n"}, "x.ies:2:10: a zero byte: this is not a text file"},
		"several at once": {[]string{"1 -1 1.0", "0 -1 0", "0 45 90", "5 45 40", "0 90\n", "0 45\n"}, `x.ies:5:1: the number of lamps (field 1) is "0"; give a whole number from 1 to 1000000` + "\n" +
			`x.ies:5:6: the multiplier (field 3) is "0"; give a factor from 1e-06 to 1e+06, mostly 1` + "\n" + "x.ies:7:6: the vertical angles do not rise: 40 follows 45"},
	} {
		f, err := lm63.Read("x.ies", []byte(change(t, sound, c.pairs...)))
		if err == nil || f != nil || err.Error() != c.want {
			t.Errorf("%s: got\n%v\nwant\n%s", name, err, c.want)
		}
	}
}

func TestWholeFilesRefused(t *testing.T) {
	for name, c := range map[string]struct{ data, want string }{
		"empty":     {"\r\n\x1a", "x.ies: the file is empty; an LM-63 file holds a header, a line TILT= and numbers"},
		"UTF-16":    {"\xff\xfeI\x00E\x00", "x.ies: the file is UTF-16; save it as plain text"},
		"too large": {strings.Repeat("1 ", document.MaxBytes), "x.ies: the file has 2097152 bytes; at most 1048576 (1 MiB) are allowed"},
	} {
		if _, err := lm63.Read("x.ies", []byte(c.data)); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
	words := change(t, sound, "100 40 5", strings.Repeat("x ", 500))
	if _, err := lm63.Read("x.ies", []byte(words)); err == nil || strings.Count(err.Error(), "\n") != 19 {
		t.Errorf("500 words: %v", err)
	}
}

// TestFactors: multiplier and ballast factor always count, field 12 in 1986 and 1991 alone.
func TestFactors(t *testing.T) {
	for first, want := range map[string]float64{"": 100 * 2 * 0.5 * 0.9, "IESNA91": 100 * 2 * 0.5 * 0.9, "IESNA:LM-63-1995": 100, "IESNA:LM-63-2002": 100, "IES:LM-63-2019": 100} {
		text := change(t, sound, "IESNA:LM-63-2002\n[TEST] none\n[MANUFAC] nobody\n", first+"\n", "1 -1 1.0", "1 -1 2", "1.0 1 5", "0.5 0.9 5")
		f, err := lm63.Read("x.ies", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%q", first), at(f, 0, 0), want, 1e-12)
	}
}
