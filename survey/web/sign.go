package web

import (
	"fmt"

	"github.com/gin-gonic/gin"

	"undercroft/survey"
)

// handedOver is the offer of the revision that the address names, on the phone of who is signed in. Where nobody has to sign in, it is who is known to have surveyed.
func (s *Server) handedOver(c *gin.Context) (offer, error) {
	v, err := s.revision(c)
	if err != nil {
		return offer{}, err
	}
	o, err := s.loadOffer(c, v, fmt.Sprintf("%s/revisions/%d/sign", surveyPath(v.Survey), v.Number))
	if err != nil {
		return offer{}, err
	}
	o.with = signer(c.Request.Context(), o.content.By)
	return o, nil
}

// signPage shows the scope for somebody who is handed the phone.
func (s *Server) signPage(c *gin.Context) error {
	o, err := s.handedOver(c)
	if err != nil {
		return err
	}
	return s.openOffer(c, o)
}

// signRevision keeps what was decided in person.
func (s *Server) signRevision(c *gin.Context) error {
	o, err := s.handedOver(c)
	if err != nil {
		return err
	}
	return s.decide(c, o, "")
}

// signPicture sends a picture of the scope.
func (s *Server) signPicture(c *gin.Context) error {
	o, err := s.handedOver(c)
	if err != nil {
		return err
	}
	return s.offerPicture(c, o)
}

// signReceipt sends the receipt of a decision, whichever way it came.
func (s *Server) signReceipt(c *gin.Context) error {
	o, err := s.handedOver(c)
	if err != nil {
		return err
	}
	return s.offerReceipt(c, o)
}

// signScope leads to the scope as it was first painted.
func (s *Server) signScope(c *gin.Context) error {
	o, err := s.handedOver(c)
	if err != nil {
		return err
	}
	return redirect(c, fmt.Sprintf("%s/revisions/%d/report.pdf?for=scope&lang=%s", surveyPath(o.revision.Survey), o.revision.Number, o.lang))
}

// revokeLink ends a link.
func (s *Server) revokeLink(c *gin.Context) error {
	if _, err := readForm(c); err != nil {
		return err
	}
	in, err := surveyID(c)
	if err != nil {
		return err
	}
	id, err := survey.ParseID(c.Param("link"))
	if err != nil {
		return survey.Errorf(survey.NotFound, "There is no such link.")
	}
	if err := s.store.RevokeLink(c.Request.Context(), in, survey.LinkID(id), signer(c.Request.Context(), "")); err != nil {
		return err
	}
	return redirect(c, surveyPath(in)+"/revisions?saved=revoked#issued")
}
