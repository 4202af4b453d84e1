package api

import (
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"standin"
	"standin/api/locale"
)

// languageTime is how long a browser keeps the language that was chosen.
const languageTime = 365 * 24 * time.Hour

// chooseLanguage has the browser keep a language and leads back to the page.
func (h *handlers) chooseLanguage(c echo.Context) error {
	language, known := locale.Named(c.QueryParam("to"))
	if !known {
		return &standin.Error{Code: standin.CodeBadRequest, Field: "to", Message: "this is no language of the pages; give to=en or to=de"}
	}
	c.SetCookie(&http.Cookie{
		Name: locale.Cookie, Value: language.String(), Path: "/", MaxAge: int(languageTime.Seconds()), HttpOnly: true, SameSite: http.SameSiteLaxMode,
	})
	c.Response().Header().Set("Cache-Control", "no-store")
	return c.Redirect(http.StatusSeeOther, h.base+ownPath(c.QueryParam("at")))
}

// spoken finds the language of what is printed: an answer for its own sake, that is
// kept apart from the same in another language.
func (h *handlers) spoken(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		language := locale.OfRequest(c.Request())
		c.SetRequest(c.Request().WithContext(locale.With(c.Request().Context(), language)))
		header := c.Response().Header()
		header.Add("Vary", locale.Vary)
		header.Set("Content-Language", language.String())
		return next(c)
	}
}
