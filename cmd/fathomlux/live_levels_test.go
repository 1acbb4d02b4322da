package main

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"fathomlux/scene/longtest"
)

// TestLiveLevels: each channel has a slider; to half of blue there is less light, to none of either no light at all.
func TestLiveLevels(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	mean := func() string { return evaluate[string](b, `document.getElementById("mean").textContent`) }
	full := mean()
	if got := b.value("level-0") + " " + b.value("level-1"); got != "100 100" {
		t.Fatalf("levels %s", got)
	}
	b.typeIn("level-1", "50"+kb.Enter)
	b.settle()
	if half := mean(); half == full || b.value("level-1-slider") != "50" {
		t.Errorf("%s at full light, %s with half of the blue, the slider at %s", full, half, b.value("level-1-slider"))
	}
	b.typeIn("level-1", "101"+kb.Enter)
	if said := b.told("level-1"); said != "“101” is out of range: 0 to 100 % is possible." {
		t.Errorf("it says %q", said)
	}
	for _, id := range []string{"level-0", "level-1"} {
		b.typeIn(id, "0"+kb.Enter)
		b.settle()
	}
	if dark := mean(); !strings.HasPrefix(dark, "0") {
		t.Errorf("%s without light", dark)
	}
}
