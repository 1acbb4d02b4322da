package main

import (
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"fathomlux/scene/longtest"
)

// TestLiveAsksBeforeWorkIsLost: a tab that is closed asks first while it holds what is not saved, and does not else.
func TestLiveAsksBeforeWorkIsLost(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	closed, err := chromedp.Detached(b.ctx)
	if err != nil {
		t.Fatal(err)
	}
	dialogs := chromedp.Events(b.ctx, page.JavascriptDialogOpening)
	tryToClose := func() {
		go func() { _, _ = chromedp.Call(b.ctx, page.Close, cdp.Empty{}) }() // ends with the tab
	}
	b.slideTo("r0-height", 200)
	b.do(chromedp.Click("#hold")) // a browser asks only where a hand was on the page
	tryToClose()
	for dialog, err := range dialogs {
		if err != nil || dialog.Type != "beforeunload" {
			t.Fatalf("%+v, %v", dialog, err)
		}
		break
	}
	if _, err := chromedp.Call(b.ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: false}); err != nil {
		t.Fatal(err)
	}
	if got := b.value("r0-height"); got != "200" {
		t.Errorf("the tab that stays has a height of %s", got)
	}
	b.press("#undo")
	b.settle()
	tryToClose()
	select {
	case <-closed:
	case <-b.ctx.Done():
		t.Error("the tab with nothing to lose does not close")
	}
}

// leaveUnasked answers whatever the page asks before it is left with yes, for as long as the tab is open.
func (b tab) leaveUnasked() {
	dialogs := chromedp.Events(b.ctx, page.JavascriptDialogOpening)
	go func() {
		for _, err := range dialogs {
			if err != nil {
				return
			}
			_, _ = chromedp.Call(b.ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
		}
	}()
}
