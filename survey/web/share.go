package web

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/survey/store"
)

// linkBytes is the length of a link's token: 128 random bits.
const linkBytes = 16

// How often a link's pages may be asked for: 30 a minute from one address and as many by one token after a first burst; pictures, which a page asks for by
// the dozen, 300.
const (
	sharedBurst  = 60
	sharedEvery  = 2 * time.Second
	pictureBurst = 600
	pictureEvery = 200 * time.Millisecond
)

// sharePrefix is where links lead.
const sharePrefix = "/s/"

// isShared tells whether a request is for a link's pages.
func isShared(r *http.Request) bool { return strings.HasPrefix(r.URL.Path, sharePrefix) }

// newLinkToken makes a link's token and the sum that is kept.
func newLinkToken() (value string, sum store.TokenSum) {
	token := make([]byte, linkBytes)
	_, _ = rand.Read(token) // it never fails: crypto/rand ends the program instead
	return base64.RawURLEncoding.EncodeToString(token), sha256.Sum256(token)
}

// linkSum is the sum of a token in an address; false when it could be none. A token has one spelling.
func linkSum(value string) (store.TokenSum, bool) {
	token, err := base64.RawURLEncoding.Strict().DecodeString(value)
	if err != nil || len(token) != linkBytes {
		return store.TokenSum{}, false
	}
	return sha256.Sum256(token), true
}

// linkPage is what stands where there is nothing to show: in every language, and without a way on.
type linkPage struct {
	basePage
	Texts []linkText
}

type linkText struct{ Lang, Head, What string }

// showLinkPage says the same thing in every language.
func (s *Server) showLinkPage(c *gin.Context, status int, say func(catalogue.Lang) (head, what string)) error {
	var p linkPage
	for _, lang := range []catalogue.Lang{catalogue.English, catalogue.Spanish} {
		head, what := say(lang)
		p.Texts = append(p.Texts, linkText{string(lang), head, what})
	}
	p.basePage = s.plainPage(p.Texts[0].Head)
	return s.render(c, status, "link", p)
}

// shared lets a request by a working link through to h. Whatever is wrong with a link, the answer is the same.
func (s *Server) shared(limit *sharedLimit, h func(c *gin.Context, o offer, link survey.LinkID) error) func(c *gin.Context) error {
	return func(c *gin.Context) error {
		sum, ok := linkSum(c.Param("token"))
		if wait := limit.wait(network(c.ClientIP()), string(sum[:]), s.now()); wait > 0 {
			s.meter.limited.WithLabelValues(limitLink).Inc()
			c.Header("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
			return s.showLinkPage(c, http.StatusTooManyRequests, report.LinkBusy)
		}
		var l survey.Link
		err := error(survey.Errorf(survey.NotFound, "There is no such link."))
		if ok {
			l, err = s.store.LinkOf(c.Request.Context(), sum)
		}
		if err == nil {
			err = s.byLink(c, l, h)
		}
		if survey.KindOf(err) == survey.NotFound {
			requestOf(c.Request.Context()).err = err
			return s.showLinkPage(c, http.StatusNotFound, report.LinkGone)
		}
		return err
	}
}

func (s *Server) byLink(c *gin.Context, l survey.Link, h func(c *gin.Context, o offer, link survey.LinkID) error) error {
	v, err := s.store.Revision(c.Request.Context(), l.Survey, l.Number)
	if err != nil {
		return err
	}
	o, err := s.loadOffer(c, v, sharePrefix+c.Param("token"))
	if err != nil {
		return err
	}
	o.asks = true
	return h(c, o, l.ID)
}

// sharedLimit counts requests by address and by token.
type sharedLimit struct{ addresses, tokens *throttle }

func newSharedLimit(burst int, every time.Duration) *sharedLimit {
	return &sharedLimit{newThrottle(burst, every, mostKeys), newThrottle(burst, every, mostKeys)}
}

func (l *sharedLimit) wait(address, token string, now time.Time) time.Duration {
	if wait := l.addresses.wait(address, now); wait > 0 {
		return wait
	}
	return l.tokens.wait(token, now)
}

// sharedPage shows the scope of the link's revision.
func (s *Server) sharedPage(c *gin.Context, o offer, _ survey.LinkID) error {
	return s.openOffer(c, o)
}

// sharedPicture sends a picture of the scope.
func (s *Server) sharedPicture(c *gin.Context, o offer, _ survey.LinkID) error {
	return s.offerPicture(c, o)
}

// sharedReceipt sends the receipt.
func (s *Server) sharedReceipt(c *gin.Context, o offer, _ survey.LinkID) error {
	return s.offerReceipt(c, o)
}

// sharedScope sends the scope as it was first painted.
func (s *Server) sharedScope(c *gin.Context, o offer, _ survey.LinkID) error {
	return s.sendRendition(c, o.revision, reportChoice{reader: document.Scope, lang: o.lang, paper: "letter"}, kindPDF, "no-store")
}
