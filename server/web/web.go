package web

import (
	"net/http"

	"tracewright/models"
	"tracewright/server/httpx"
)

// Routes is the table of every page and form, with the act that each needs.
func Routes(services httpx.Services) []httpx.Route {
	s := &site{services: services}
	get := func(path string, act models.Act, h httpx.Handler) httpx.Route {
		return httpx.Route{Method: http.MethodGet, Path: path, Act: act, Handler: h}
	}
	post := func(path string, act models.Act, h httpx.Handler) httpx.Route {
		return httpx.Route{Method: http.MethodPost, Path: path, Act: act, Handler: h}
	}
	routes := []httpx.Route{
		get("/static/:hash/*name", httpx.Public, serveAsset),

		get("/signin", httpx.Public, s.signInPage),
		post("/signin", httpx.Public, s.signIn),
		post("/signout", httpx.Public, s.signOut),
		get("/setup/:token", httpx.Public, s.setupPage),
		post("/setup/:token", httpx.Public, s.setup),
		get("/own", models.ActLook, s.own),
		post("/own", models.ActOwnSecrets, s.setOwn),

		get("/", models.ActLook, s.today),
		get("/find", models.ActLook, s.find),
		post("/drafts/:id/take-over", models.ActRecord, s.takeOver),
		get("/drafts/:id/set-aside", models.ActRecord, s.setAsidePage),
		post("/drafts/:id/set-aside", models.ActRecord, s.setAside),
		get("/inspections/:id/move", models.ActRecord, s.movePage),
		post("/inspections/:id/move", models.ActRecord, s.move),
		get("/unplaced", models.ActLook, s.unplaced),
		post("/unplaced/:id", models.ActPlace, s.settle),

		get("/items/:serial", models.ActLook, s.item),
		get("/items/:serial/release", models.ActRelease, s.releasePage),
		post("/items/:serial/release", models.ActRelease, s.release),
		get("/items/:serial/hold", models.ActRaiseHold, s.holdPage),
		post("/items/:serial/hold", models.ActRaiseHold, s.hold),
		get("/items/:serial/place", models.ActRecord, s.placePage),
		post("/items/:serial/place", models.ActRecord, s.place),
		post("/items/:serial/steps", models.ActRecord, s.tickStep),
		post("/items/:serial/charges", models.ActRecord, s.chargeItem),
		get("/items/:serial/capacity/new", models.ActRecord, s.newCapacityTest),
		post("/items/:serial/capacity/new", models.ActRecord, s.addCapacityTest),
		get("/items/:serial/capacity/:id", models.ActLook, s.capacityTest),
		get("/families/:id/steps", models.ActSpecify, s.buildStepsPage),
		post("/families/:id/steps", models.ActSpecify, s.reviseBuildSteps),
		get("/shelf", models.ActLook, s.shelf),
		post("/shelf/charge", models.ActRecord, s.chargeOne),
		post("/shelf/charge-all", models.ActRecord, s.chargeAll),
		get("/shelf/temperature", models.ActRecord, s.shelfTemperaturePage),
		post("/shelf/temperature", models.ActRecord, s.addShelfTemperature),
		get("/charges/:id/end", models.ActRecord, s.endChargePage),
		post("/charges/:id/end", models.ActRecord, s.endCharge),
		get("/blocks", models.ActLook, s.blocks),
		get("/blocks/lots/:lot", models.ActLook, s.blockLot),
		get("/blocks/set-aside", models.ActRecord, s.setBlocksAsidePage),
		post("/blocks/set-aside", models.ActRecord, s.setBlocksAside),
		get("/blocks/release", models.ActLiftHold, s.releaseBlocksPage),
		post("/blocks/release", models.ActLiftHold, s.releaseBlocks),
		get("/match", models.ActRecord, s.matchAsk),
		post("/match", models.ActRecord, s.propose),
		get("/match/pick", models.ActRecord, s.matchPick),
		post("/match/pick", models.ActRecord, s.pickMatch),
		get("/match/:id", models.ActLook, s.match),
		post("/match/:id/place", models.ActRecord, s.placeInMatch),
		post("/match/:id/keep", models.ActRecord, s.keepMatch),
		get("/match/:id/drop", models.ActRecord, s.dropMatchPage),
		post("/match/:id/drop", models.ActRecord, s.dropMatch),
		get("/holds", models.ActLook, s.holds),
		get("/holds/:id/lift", models.ActLiftHold, s.liftPage),
		post("/holds/:id/lift", models.ActLiftHold, s.lift),
		get("/certificates/:number/:revision", models.ActLook, s.certificate),
		get("/certificates/:number/:revision/original", models.ActLook, s.originalPaper),
		get("/certificates/:number/:revision/void", models.ActVoid, s.voidPage),
		post("/certificates/:number/:revision/void", models.ActVoid, s.void),

		post("/certificates/:number/:revision/print", models.ActPrint, s.printCertificate),

		get("/charts", models.ActLook, s.chart),

		get("/families", models.ActLook, s.families),
		get("/families/new", models.ActSpecify, s.newFamily),
		post("/families/new", models.ActSpecify, s.addFamily),
		get("/families/:id", models.ActLook, s.family),
		get("/families/:id/products/new", models.ActSpecify, s.newProduct),
		post("/families/:id/products/new", models.ActSpecify, s.addProduct),
		get("/families/:id/specification", models.ActSpecify, s.reviseSpecificationPage),
		post("/families/:id/specification", models.ActSpecify, s.reviseSpecification),
		get("/products/:id", models.ActLook, s.product),
		get("/products/:id/revise", models.ActSpecify, s.reviseProductPage),
		post("/products/:id/revise", models.ActSpecify, s.reviseProduct),
		get("/products/:id/specification", models.ActSpecify, s.reviseSpecificationPage),
		post("/products/:id/specification", models.ActSpecify, s.reviseSpecification),
		get("/specifications", models.ActLook, s.specifications),
		get("/specifications/:id", models.ActLook, s.specification),

		get("/instruments", models.ActLook, s.instruments),
		get("/instruments/new", models.ActCalibrate, s.newInstrument),
		post("/instruments/new", models.ActCalibrate, s.addInstrument),
		get("/instruments/:code", models.ActLook, s.instrument),
		post("/instruments/:code", models.ActCalibrate, s.changeInstrument),
		post("/instruments/:code/tables", models.ActCalibrate, s.addGaugeTable),

		get("/lots", models.ActLook, s.lots),
		get("/lots/new", models.ActReceive, s.newLot),
		post("/lots/new", models.ActReceive, s.addLot),
		get("/lots/:code", models.ActLook, s.lot),
		get("/items/:serial/sources", models.ActLook, s.sources),
		get("/lots/:code/hold", models.ActRaiseHold, s.holdLotPage),
		post("/lots/:code/hold", models.ActRaiseHold, s.holdLot),
		get("/parts/new", models.ActReceive, s.newPart),
		post("/parts/new", models.ActReceive, s.addPart),
		post("/products/:id/items", models.ActRecord, s.makeItem),
		get("/rolls", models.ActLook, s.rolls),
		post("/rolls", models.ActReceive, s.addRoll),
		get("/rolls/:id/serials", models.ActLook, s.rollSerials),

		get("/shop", models.ActManagePeople, s.shopPage),
		post("/shop", models.ActManagePeople, s.setShop),
		get("/people", models.ActManagePeople, s.peoplePage),
		get("/people/new", models.ActManagePeople, s.newPerson),
		post("/people/new", models.ActManagePeople, s.addPerson),
		get("/people/:id", models.ActManagePeople, s.person),
		post("/people/:id", models.ActManagePeople, s.changePerson),
		post("/people/:id/password-link", models.ActManagePeople, s.passwordLink),
		post("/people/:id/pin", models.ActManagePeople, s.setPIN),
		get("/devices", models.ActManagePeople, s.devices),
		post("/devices", models.ActManagePeople, s.enrol),
		post("/devices/:id/revoke", models.ActManagePeople, s.revoke),
	}
	routes = append(routes, s.labelRoutes()...)
	routes = append(routes, s.trustRoutes()...)
	routes = append(routes, s.floorSetupRoutes()...)
	return append(routes, s.floorRoutes()...)
}
