package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/server/httpx"
)

// LotsPage lists the received lots, the last first.
type LotsPage struct {
	Frame
	Answer string
	Rows   []LotRow
}

// LotRow is one lot.
type LotRow struct {
	Code, Material, Description, Supplier, Received string
	Quantity                                        string
	Held                                            bool
	Path, HoldPath                                  string
}

func (s *site) lots(c *gin.Context) error {
	ctx := c.Request.Context()
	lots, err := s.services.Receive.Lots(ctx)
	if err != nil {
		return err
	}
	today, err := s.services.Monitor.Today(ctx)
	if err != nil {
		return err
	}
	held := map[string]bool{}
	for _, h := range today.Holds {
		held[pointed(h.LotID)] = true
	}
	page := LotsPage{Frame: s.frame(c, "Lots", "/lots"), Answer: "No lot yet"}
	for _, l := range lots {
		row := LotRow{Code: l.Code, Material: words.Sentence(english.Material(l.Material)), Description: l.Description, Supplier: l.Supplier, Received: s.day(l.ReceivedAt), Held: held[l.ID], Path: lotPath(l.Code), HoldPath: lotPath(l.Code) + "/hold"}
		if l.Quantity > 0 {
			row.Quantity = strconv.Itoa(l.Quantity)
		}
		page.Rows = append(page.Rows, row)
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "lot", "lots") + ", the last received on " + s.day(lots[0].ReceivedAt)
	}
	return show(c, "lots", page)
}

// ReceiveForm takes something in: a lot, or one motor or block.
type ReceiveForm struct {
	Frame
	Title, Path, Back, Button string
	Says                      string
	Hidden                    []Choice // sent along as they are
	Fields                    []Field
	Problems                  Problems
}

func (s *site) newLot(c *gin.Context) error { return s.showNewLot(c, http.StatusOK, nil) }

func (s *site) showNewLot(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := ReceiveForm{Frame: s.frame(c, "Receive a lot", "/lots"), Title: "Receive a lot", Path: "/lots/new", Back: "/lots", Button: "Receive it", Fields: []Field{
		f.field(Field{Name: "code", Label: "Lot", Mono: true, Width: "w4", Focus: true, Hint: "The shop’s own code: SP-0214."}),
		f.field(Field{Name: "material", Label: "What it is", Kind: "select", Width: "w4", Choices: choices(receive.Materials, func(m string) string { return words.Sentence(english.Material(m)) })}),
		f.field(Field{Name: "quantity", Label: "Pieces", Mode: "numeric", Width: "w4", Optional: true}),
		f.field(Field{Name: "description", Label: "Description", Width: "w8", Optional: true, Hint: "2.34 mm plain, 186 mm"}),
		f.field(Field{Name: "received_on", Label: "Received on", Kind: "date", Width: "w4", Optional: true, Hint: "Empty: today."}),
		f.field(Field{Name: "supplier", Label: "Supplier", Width: "w4", Optional: true}),
		f.field(Field{Name: "supplier_code", Label: "Supplier’s lot", Mono: true, Width: "w4", Optional: true}),
		f.field(Field{Name: "date_code", Label: "Date code", Mono: true, Width: "w4", Optional: true}),
	}}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addLot(c *gin.Context) error {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	lot := models.Lot{Code: text("code"), Material: text("material"), Description: text("description"), Supplier: text("supplier"), SupplierCode: text("supplier_code"), DateCode: text("date_code")}
	invalid := &models.InvalidError{}
	if q := text("quantity"); q != "" {
		n, err := strconv.Atoi(q)
		if err != nil {
			invalid.Add("quantity", "not_a_number", "typed", q)
		}
		lot.Quantity = n
	}
	if d := text("received_on"); d != "" {
		day, err := time.ParseInLocation(time.DateOnly, d, s.zone())
		if err != nil {
			invalid.Add("received_on", "bad_date", "typed", d)
		}
		lot.ReceivedAt = day
	}
	err := invalid.OrNil()
	if err == nil {
		_, err = s.services.Receive.AddLot(c.Request.Context(), httpx.Actor(c), lot)
	}
	if answerable(err) {
		return s.showNewLot(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/lots", "lot")
}

func (s *site) newPart(c *gin.Context) error { return s.showNewPart(c, http.StatusOK, nil) }

func (s *site) showNewPart(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := ReceiveForm{Frame: s.frame(c, "Receive a motor or block", "/lots"), Title: "Receive a motor or block", Path: "/parts/new", Back: "/lots", Button: "Receive it",
		Says: "They keep their maker’s number. A block without one gets a serial of the shop.", Fields: []Field{
			f.field(Field{Name: "kind", Label: "Kind", Kind: "select", Width: "w4", Choices: choices([]string{models.KindMotor, models.KindBlock}, func(k string) string { return words.Sentence(english.Kind(k)) })}),
			f.field(Field{Name: "supplier", Label: "Supplier", Width: "w4"}),
			f.field(Field{Name: "model", Label: "Model", Width: "w4"}),
			f.field(Field{Name: "maker_number", Label: "Maker’s number", Mono: true, Width: "w8", Optional: true}),
		}}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addPart(c *gin.Context) error {
	item, err := s.services.Receive.AddPart(c.Request.Context(), httpx.Actor(c), receive.NewPart{Kind: c.PostForm("kind"), Supplier: c.PostForm("supplier"), Model: c.PostForm("model"), MakerNumber: c.PostForm("maker_number")})
	if answerable(err) {
		return s.showNewPart(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(item.Serial), item.ID), "part")
}

func (s *site) holdLotPage(c *gin.Context) error { return s.showHoldLot(c, http.StatusOK, nil) }

func (s *site) showHoldLot(c *gin.Context, status int, problem error) error {
	code := c.Param("code")
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Hold a lot", "/lots"), About: code, Mono: true, Title: "Put the whole lot on hold", Button: "Put on hold", Bars: true, Path: "/lots/" + code + "/hold", Back: "/lots",
		Says: []string{"No item that holds a part of this lot can be certified until an inspector or the owner lifts the hold."},
		Fields: []Field{f.field(Field{Name: "code", Label: "What is wrong", Kind: "select", Choices: holdCodes(""), Focus: true}),
			f.field(Field{Name: "reason", Label: "What you saw", Kind: "text area"})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) holdLot(c *gin.Context) error {
	_, err := s.services.Release.RaiseHold(c.Request.Context(), httpx.Actor(c), release.HoldRequest{Lot: c.Param("code"), Code: c.PostForm("code"), Reason: strings.TrimSpace(c.PostForm("reason"))})
	if answerable(err) {
		return s.showHoldLot(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/holds", "held")
}
