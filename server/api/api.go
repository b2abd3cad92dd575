package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// Base is the path that every route begins with.
const Base = "/api/v1"

// english is the language of messages and names in answers.
var english = words.In("en")

// api is what the handlers share.
type api struct {
	services httpx.Services
	cache    *cache
}

// A line of the table; last are the names that may stand in its query. Written out in each of its lines, as the compiler would do,
// the three made a hundred kilobytes of it.

//go:noinline
func get(path string, act models.Act, h httpx.Handler, asked ...string) httpx.Route {
	return httpx.Route{Method: http.MethodGet, Path: Base + path, Act: act, Handler: h, Asked: asked}
}

//go:noinline
func post(path string, act models.Act, h httpx.Handler, asked ...string) httpx.Route {
	return httpx.Route{Method: http.MethodPost, Path: Base + path, Act: act, Handler: h, Asked: asked}
}

//go:noinline
func put(path string, act models.Act, h httpx.Handler, asked ...string) httpx.Route {
	return httpx.Route{Method: http.MethodPut, Path: Base + path, Act: act, Handler: h, Asked: asked}
}

func stream(path string, act models.Act, h httpx.Handler, asked ...string) httpx.Route {
	return httpx.Route{Method: http.MethodGet, Path: Base + path, Act: act, Handler: h, Asked: asked, Stream: true}
}

// Routes is the table of the interface.
func Routes(services httpx.Services) []httpx.Route {
	a := &api{services: services, cache: newCache(services)}
	routes := []httpx.Route{
		get("/openapi.yaml", httpx.Public, openAPI),

		get("/items", models.ActLook, a.findItems, "find"),
		post("/items", models.ActRecord, a.makeItem),
		get("/items/:item", models.ActLook, a.item),
		post("/items/:item/parts", models.ActRecord, a.changeParts),
		get("/kits/:kit", models.ActLook, a.kit),
		get("/kits/:kit/certificates", models.ActLook, a.services.KitCertificates("kit")),
		post("/kits/:kit/items", models.ActPack, a.packKit),
		post("/kits/:kit/items/out", models.ActPack, a.unpackKit),
		post("/kits/:kit/parts", models.ActPack, a.tickKit),
		post("/shipments", models.ActShip, a.ship),
		get("/shipments/:number", models.ActLook, a.shipment),
		get("/shipments/:number/certificates", models.ActLook, a.services.ShipmentCertificates("number")),
		post("/shipments/:number/void", models.ActShip, a.voidShipment),
		get("/orders", models.ActLook, a.orders),
		post("/orders", models.ActShip, a.addOrder),
		post("/orders/end", models.ActShip, a.endOrder),
		post("/laced", models.ActRecord, a.lace),
		get("/items/:item/uses", models.ActLook, a.usesOfPart),
		get("/items/:item/sources", models.ActLook, a.sources),
		get("/items/:item/label", models.ActLook, a.itemLabel, "copies", "kind", "size", "symbol", "place"),
		get("/lots/:code/label", models.ActLook, a.lotLabel, "copies", "size", "symbol", "place"),
		get("/rolls/:id/labels", models.ActLook, a.rollLabels, "first", "last", "size", "symbol", "place"),
		get("/shipments/:number/labels", models.ActLook, a.boxLabels, "copies", "size", "symbol", "place"),
		post("/prints", models.ActPrint, a.countPrint),
		post("/items/:item/certificates", models.ActRelease, a.issueCertificate),

		get("/plans/:serial", models.ActMeasure, a.plan, "stage", "product"),
		get("/drafts", models.ActRecord, a.drafts),
		get("/drafts/:id", models.ActRecord, a.draft),
		put("/drafts/:id", models.ActRecord, a.saveDraft),
		post("/drafts/:id/take-over", models.ActRecord, a.takeOverDraft),
		post("/drafts/:id/set-aside", models.ActRecord, a.setDraftAside),
		post("/preview", models.ActMeasure, a.preview),
		post("/inspections", models.ActMeasure, a.record),
		get("/inspections/:id", models.ActLook, a.inspection),
		post("/inspections/:id/turns", models.ActRecord, a.makeTurns),
		get("/inspections/:id/turns", models.ActLook, a.turns),
		put("/inspections/:id/turns/:list/:n", models.ActRecord, a.tickTurn),
		post("/inspections/:id/turns/cause", models.ActRecord, a.answerStop),
		get("/unplaced", models.ActLook, a.unplaced),
		post("/unplaced/:id/place", models.ActPlace, a.placeUnplaced),
		post("/unplaced/:id/dismiss", models.ActPlace, a.dismissUnplaced),

		get("/shelf", models.ActLook, a.shelf),
		post("/shelf/temperatures", httpx.Enrolled, a.addShelfTemperature),
		post("/shelf/charges", models.ActRecord, a.startAllCharges),
		put("/items/:item/place", models.ActRecord, a.placeOnShelf),
		put("/items/:item/wanted", models.ActRecord, a.wantItem),
		get("/items/:item/charges", models.ActLook, a.charges),
		post("/items/:item/charges", models.ActRecord, a.startCharge),
		get("/items/:item/build", models.ActLook, a.build),
		put("/items/:item/build/:step", models.ActRecord, a.tickBuildStep),
		get("/items/:item/capacity-tests", models.ActLook, a.capacityTests),
		get("/items/:item/capacity-tests/:id", models.ActLook, a.capacityTest),
		post("/items/:item/capacity-tests", models.ActMeasure, a.addCapacityTest),
		get("/families/:id/steps", models.ActLook, a.buildSteps),
		post("/families/:id/steps", models.ActSpecify, a.reviseBuildSteps),
		post("/charges/:id/end", models.ActRecord, a.endCharge),

		get("/certificates/:number/:revision", models.ActLook, a.certificate),
		get("/certificates/:number/:revision/paper", models.ActLook, a.paper),
		get("/certificates/:number/:revision/paper/original", models.ActLook, a.original),
		post("/certificates/:number/:revision/void", models.ActVoid, a.voidCertificate),
		get("/holds", models.ActLook, a.holds),
		post("/holds", models.ActRaiseHold, a.raiseHold),
		post("/holds/:id/lift", models.ActLiftHold, a.liftHold),

		get("/blocks", models.ActLook, a.blocks, "model", "lot"),
		post("/blocks/readings", models.ActReceive, a.takeInBlocks),
		get("/blocks/lots/:lot", models.ActLook, a.screenLot),
		post("/blocks/set-aside", models.ActRecord, a.setBlocksAside),
		post("/blocks/release", models.ActLiftHold, a.releaseBlocks),
		get("/blocks/:block/decisions", models.ActLook, a.blockHistory, "model"),

		get("/matches", models.ActLook, a.openMatches),
		post("/matches", models.ActRecord, a.proposeMatch),
		post("/matches/picked", models.ActRecord, a.pickMatch),
		post("/matches/spread", models.ActRecord, a.spreadOfPicked),
		get("/matches/:id", models.ActLook, a.match),
		post("/matches/:id/placements", models.ActRecord, a.placeBlock),
		post("/matches/:id/keep", models.ActRecord, a.keepMatch),
		post("/matches/:id/drop", models.ActRecord, a.dropMatch),

		get("/recalls", models.ActLook, a.recalls),
		post("/recalls", models.ActRecall, a.makeRecall),
		post("/recalls/preview", models.ActRecall, a.previewRecall),
		get("/recalls/:number", models.ActLook, a.recall),
		post("/recalls/:number/runs", models.ActRecall, a.runRecall),
		post("/recalls/:number/responses", models.ActShip, a.respondRecall),
		post("/recalls/:number/end", models.ActRecall, a.endRecall),
		get("/recalls/:number/contacts", models.ActCustomers, a.recallContacts),

		get("/claims", models.ActLook, a.claims, "item", "find"),
		post("/claims", models.ActClaims, a.openClaim),
		get("/claims/:number", models.ActLook, a.claim),
		post("/claims/:number", models.ActClaims, a.addToClaim),
		{Method: http.MethodPost, Path: Base + "/claims/:number/photos", Act: models.ActClaims, Handler: a.addClaimPhoto, Asked: []string{"name", "note"}, File: true},
		post("/claims/:number/erase", models.ActCustomers, a.eraseClaimWords),
		post("/claims/:number/photos/:photo/erase", models.ActCustomers, a.eraseClaimPhoto),

		get("/check-lists", models.ActLook, a.checkLists),
		get("/defects", models.ActLook, a.defects),
		put("/defects/:code", models.ActSpecify, a.reviseDefect),

		get("/nonconformities", models.ActLook, a.nonconformities, "item"),
		post("/nonconformities", models.ActRaiseHold, a.openNonconformity),
		get("/nonconformities/:number", models.ActLook, a.nonconformity),
		post("/nonconformities/:number/disposition", models.ActDispose, a.disposeNonconformity),
		post("/nonconformities/:number/approval", models.ActDispose, a.approveConcession),
		post("/nonconformities/:number/confirmation", models.ActDispose, a.confirmDisposed),
		post("/nonconformities/:number/done", models.ActRecord, a.reworkDone),
		post("/nonconformities/:number/notes", models.ActRaiseHold, a.noteNonconformity),
		{Method: http.MethodPost, Path: Base + "/nonconformities/:number/photos", Act: models.ActRaiseHold, Handler: a.addNonconformityPhoto, Asked: []string{"name", "note"}, File: true},

		get("/attention", models.ActLook, a.attention),
		get("/reviews", models.ActLook, a.reviews),
		post("/reviews", models.ActImprove, a.makeReview),
		get("/reviews/:id", models.ActLook, a.review),
		get("/reviews/:id/paper", models.ActLook, a.reviewPaper),

		get("/corrective-actions", models.ActLook, a.correctiveActions),
		post("/corrective-actions", models.ActImprove, a.addCorrectiveAction),
		get("/corrective-actions/:number", models.ActLook, a.correctiveAction),
		post("/corrective-actions/:number/plan", models.ActImprove, a.stateCorrectiveAction),
		post("/corrective-actions/:number/done", models.ActImprove, a.carriedCorrectiveAction),
		post("/corrective-actions/:number/check", models.ActImprove, a.checkCorrectiveAction),
		post("/corrective-actions/:number/close", models.ActImprove, a.closeCorrectiveAction),

		get("/customers", models.ActCustomers, a.customers, "find", "reason"),
		post("/customers", models.ActCustomers, a.addCustomer),
		get("/customers/:id", models.ActCustomers, a.customer, "reason"),
		put("/customers/:id", models.ActCustomers, a.changeCustomer),
		post("/customers/:id/erase", models.ActCustomers, a.eraseCustomer),

		get("/charts", models.ActLook, a.chart, "family", "product", "place", "result", "from", "to", "rules"),
		stream("/charts/events", models.ActLook, a.chartEvents, "family", "product", "place", "result", "follow"),
		get("/charts/mark", models.ActLook, a.chartMark, "family", "product", "place", "result"),
		post("/charts/baselines", models.ActSpecify, a.chooseBaseline),
		post("/charts/causes", models.ActRecord, a.explainSignal),
		post("/charts/happenings", models.ActRecord, a.addHappening),
		get("/how-good", models.ActLook, a.howGood, "family", "product", "place", "from", "to"),
		get("/how-good/:result", models.ActLook, a.howGoodResult, "family", "product", "place", "from", "to"),
		get("/returns", models.ActLook, a.returns, "family", "lot", "months", "lag"),

		get("/families", models.ActLook, a.families),
		post("/families", models.ActSpecify, a.addFamily),
		get("/families/:id", models.ActLook, a.family),
		get("/products", models.ActLook, a.products, "family"),
		post("/products", models.ActSpecify, a.addProduct),
		get("/products/:id", models.ActLook, a.product),
		post("/products/:id/revisions", models.ActSpecify, a.reviseProduct),
		get("/specifications", models.ActLook, a.specifications, "family"),
		post("/specifications", models.ActSpecify, a.reviseSpecification),
		get("/specifications/:id", models.ActLook, a.specification),

		get("/instruments", models.ActLook, a.instruments),
		post("/instruments", models.ActCalibrate, a.addInstrument),
		get("/instruments/:code", models.ActLook, a.instrument),
		put("/instruments/:code", models.ActCalibrate, a.updateInstrument),
		get("/instruments/:code/tables", models.ActLook, a.gaugeTables),
		post("/instruments/:code/tables", models.ActCalibrate, a.addGaugeTable),
		get("/instruments/:code/calibrations", models.ActLook, a.calibrations),
		post("/instruments/:code/calibrations", models.ActCalibrate, a.calibrate),
		put("/instruments/:code/out-note", models.ActConcede, a.judgeAnyway),
		get("/instruments/:code/checks", models.ActLook, a.gaugeChecks),
		post("/instruments/:code/checks", models.ActCalibrate, a.addGaugeCheck),
		post("/instruments/:code/checks/:id/readings", models.ActMeasure, a.enterCheck),
		post("/instruments/:code/checks/:id/end", models.ActCalibrate, a.endGaugeCheck),
		get("/instruments/:code/traces", models.ActLook, a.gaugeTraces),
		post("/instruments/:code/traces", models.ActCalibrate, a.traceGauge),
		get("/instruments/:code/traces/:id", models.ActLook, a.gaugeTrace),
		post("/instruments/:code/traces/:id/hold", models.ActRaiseHold, a.holdTraced),
		get("/studies", models.ActLook, a.studies),
		post("/studies", models.ActCalibrate, a.planStudy),
		get("/studies/:number", models.ActLook, a.study),
		get("/studies/:number/next", models.ActMeasure, a.nextReading, "person"),
		post("/studies/:number/readings", models.ActMeasure, a.enterReading),
		post("/studies/:number/readings/:id/strike", models.ActRecord, a.strikeReading),
		post("/studies/:number/confirm", models.ActCalibrate, a.confirmStudy),
		post("/studies/:number/give-up", models.ActCalibrate, a.giveUpStudy),
		get("/budgets", models.ActLook, a.budgets, "family"),
		post("/budgets", models.ActCalibrate, a.reviseBudget),
		get("/budgets/:id", models.ActLook, a.budget),
		get("/rule-costs", models.ActLook, a.ruleCosts, "family", "result", "u"),

		get("/lots", models.ActLook, a.lots, "code"),
		post("/lots", models.ActReceive, a.addLot),
		post("/lots/read", models.ActReceive, a.readLabel),
		get("/lots/:code", models.ActLook, a.lotStory),
		get("/lots/:code/uses", models.ActLook, a.usesOfLot),
		post("/lots/:code/checks", models.ActReceive, a.inspectLot),
		post("/lots/:code/decisions", models.ActReceive, a.decideLot),
		post("/lots/:code/scraps", models.ActReceive, a.scrapLot),
		post("/lots/:code/counts", models.ActReceive, a.countLot),
		post("/lots/:code/explanations", models.ActReceive, a.explainLot),
		post("/lots/:code/contents", models.ActReceive, a.mixLots),
		{Method: http.MethodPost, Path: Base + "/lots/:code/papers", Act: models.ActReceive, Handler: a.addLotPaper, Asked: []string{"name", "note", "check"}, File: true},
		get("/papers/:id", models.ActLook, a.paperFile),
		get("/materials", models.ActLook, a.materials),
		put("/materials/:code", models.ActSpecify, a.putMaterial),
		get("/suppliers", models.ActLook, a.suppliers),
		post("/parts", models.ActReceive, a.addPart),
		get("/rolls", models.ActLook, a.rolls),
		post("/rolls", models.ActReceive, a.addRoll),
		get("/people", httpx.AtTablet, a.people),
		get("/checkpoints", models.ActLook, a.checkpoints, "below"),
		get("/keys", models.ActLook, a.keys),

		post("/stands/:stand/readings", httpx.Enrolled, a.postReading),
		stream("/stands/:stand/events", models.ActRecord, a.standEvents, "after", "follow"),
	}
	routes = append(routes, a.failureRoutes()...)
	routes = append(routes, a.differenceRoutes()...)
	routes = append(routes, a.listRoutes()...)
	for i := range routes {
		if routes[i].Asked == nil {
			routes[i].Asked = []string{} // Nothing is asked by a query.
		}
	}
	return routes
}

// answer sends a body as it is: no escaping for HTML, which this is not.
func answer(c *gin.Context, status int, body any) error {
	c.Header("Cache-Control", "no-store")
	c.PureJSON(status, body)
	return nil
}

// created answers with what was made and where it stands.
func created(c *gin.Context, path string, body any) error {
	c.Header("Location", Base+path)
	return answer(c, http.StatusCreated, body)
}

// query is what the request's query says of the names in its line of the table: each
// once, and no other.
func query(c *gin.Context) map[string]string {
	values := map[string]string{}
	for name, given := range c.Request.URL.Query() {
		values[name] = given[0]
	}
	return values
}
