package webtest

import (
	"context"
	"os"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"tracewright/models/store/storetest"
)

// oneBrowser is the running browser that all walks share which need no flags of their
// own: starting one takes more than a second of a processor. Every person has a
// profile apart, as in a private window.
var oneBrowser browser

type browser struct {
	mu     sync.Mutex
	ctx    context.Context
	folder string
	stop   []func()
}

func (b *browser) open(path string) (context.Context, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.ctx != nil {
		return b.ctx, nil
	}
	folder, err := os.MkdirTemp("", "tw-browser-")
	if err != nil {
		return nil, err
	}
	allocator, endAllocator := chromedp.NewExecAllocator(context.Background(), flags(path, folder)...)
	ctx, end := chromedp.NewContext(allocator)
	b.folder, b.stop = folder, []func(){end, endAllocator}
	if err := chromedp.Do(ctx); err != nil { // It starts now, and not with the first person, whose end would be its end.
		return nil, err
	}
	b.ctx = ctx
	return ctx, nil
}

func (b *browser) close() {
	for _, stop := range b.stop {
		stop()
	}
	if b.folder != "" {
		os.RemoveAll(b.folder)
	}
}

func flags(path, folder string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.Flag("hide-scrollbars", true), chromedp.UserDataDir(folder))
}

func TestMain(m *testing.M) { storetest.Main(m, oneBrowser.close) }
