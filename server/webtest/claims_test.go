package webtest

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/words"
)

// photo is a small picture in a file.
func photo(t *testing.T, name string) string {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 32, 24)), nil); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// A wheel comes back and is in the desk's hand: claimed by its serial, looked at by a check list, photographed and decided, without a mouse.
func TestAClaimWithAPhoto(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("desk")
	wheel := *p.Shop.Item[models.KindWheel].Serial
	p.open("/claims")
	p.tabTo("Open a claim")
	p.presses(kb.Enter)
	p.sees("h1", "Open a claim")
	p.accessible("a new claim")
	p.awaits("words")
	p.presses("It ticks when I climb" + kb.Tab)
	p.types(strings.ToLower(wheel))
	p.sees(".said", "It ticks when I climb")
	p.accessible("a claim")

	p.tabTo("Check list")
	p.presses("a spoke b")
	p.tabTo("Show it")
	p.presses(kb.Enter)
	p.sees(".checks", "Is a flange hole worn or cracked?")
	p.tabTo("Is a flange hole worn or cracked?")
	p.presses(" ")
	p.tabTo("Accept")
	p.presses(" ")
	p.tabTo("Reason")
	p.presses("No sign of a blow")
	p.picture("decided")
	p.tabTo("Save the claim")
	p.presses(kb.Enter)
	p.sees("main", "So far: Flange hole worn")
	p.sees("main", "Accepted under warranty")

	p.do(chromedp.SetUploadFiles("#photo", []string{photo(t, "spoke.jpg")}))
	p.tabTo("Add a photo")
	p.presses(kb.Enter)
	p.sees(".papers", "spoke.jpg")
	p.do(chromedp.ScrollIntoView(".papers img"))
	p.becomes(`document.querySelector(".papers img").naturalWidth === 32`)
	p.picture("photo")
	p.accessible("a claim with a photo")
	list, err := p.Shop.Store.ClaimsOf(t.Context(), p.Shop.Item[models.KindWheel].ID)
	p.Shop.Must(err)
	if len(list) != 1 {
		t.Errorf("%d claims stand on the wheel", len(list))
	}
}

// A wheel older than the log has no serial here: it is claimed by its motor and
// its order, found by its motor again, and named once it is known.
func TestAClaimForAnItemOlderThanTheLogByKeyboard(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("desk")
	p.open("/claims")
	p.tabTo("Open a claim")
	p.presses(kb.Enter)
	p.awaits("words")
	p.presses("It grinds")
	p.tabTo("In words")
	p.presses("26 inch, blue rim")
	p.tabTo("Motor number")
	p.presses("OR4-60418" + kb.Tab)
	p.types("24-0117")
	p.sees(".kicker", "26 inch, blue rim, motor OR4-60418, order 24-0117")
	p.picture("older")
	p.accessible("a claim without an item")

	p.open("/")
	p.tabTo("Find by serial, order, name, phone, lot or motor number")
	p.types("or4-60418")
	p.sees(".said", "It grinds")
	wheel := *p.Shop.Item[models.KindWheel].Serial
	p.tabTo("Serial, once it is known")
	p.presses(wheel)
	p.tabTo("Save the claim")
	p.presses(kb.Enter)
	p.sees(".kicker", words.Serial(wheel))
}
