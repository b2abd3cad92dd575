package web

import (
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/server/httpx"
)

func (s *site) addClaimPhoto(c *gin.Context) error {
	v, err := s.services.Claims.Claim(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	file, err := httpx.ReadFile(c, documents.MostBytes)
	err = s.keepPaper(c, file, err, models.SubjectClaim, v.ID)
	if answerable(err) {
		return s.showClaim(c, http.StatusUnprocessableEntity, file.Fields, err)
	}
	if err != nil {
		return err
	}
	if !file.Fields.Has("from") {
		return redirect(c, claimPath(v.Number), "paper")
	}
	// What was typed beside it is not kept yet, and stays in the form.
	page, err := s.claimTyped(c, file.Fields, nil)
	if err != nil {
		return err
	}
	page.Done = doneWords["paper"]
	return send(c, http.StatusOK, "claim", page)
}

// claimPhotoPath is where a photo of a claim is erased.
func claimPhotoPath(number, id string) string { return claimPath(number) + "/photos/" + id + "/erase" }

func (s *site) eraseClaimPhotoPage(c *gin.Context) error {
	return s.showEraseClaimPhoto(c, http.StatusOK, nil)
}

func (s *site) showEraseClaimPhoto(c *gin.Context, status int, problem error) error {
	ctx, number, id, f := c.Request.Context(), c.Param("number"), c.Param("id"), posted(c, problem)
	v, err := s.services.Claims.Claim(ctx, number)
	if err != nil {
		return err
	}
	photos, err := s.services.Documents.Of(ctx, models.SubjectClaim, v.ID)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(photos, func(a models.AttachmentView) bool { return a.ID == id })
	if at < 0 {
		return models.ErrNotFound
	}
	page := ConfirmPage{Frame: s.frame(c, "Erase a photo", "/claims"), About: number, Mono: true, Title: "Erase " + paperName(photos[at]), Button: "Erase", Path: claimPhotoPath(number, id), Back: claimPath(number),
		Says: []string{"The file goes for good, with its name, its note and the salt of their hash. The claim stays as it is."}}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) eraseClaimPhoto(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Claims.Claim(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	if err = s.confirm(c); err == nil {
		err = s.services.Documents.Erase(ctx, httpx.Actor(c), models.SubjectClaim, v.ID, c.Param("id"))
	}
	if answerable(err) {
		return s.showEraseClaimPhoto(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, claimPath(v.Number), "changed")
}
