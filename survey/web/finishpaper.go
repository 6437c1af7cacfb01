package web

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strconv"

	"github.com/gin-gonic/gin"

	catalogue "undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
)

// finishing reads what a finishing froze. Bytes that are not those that were frozen are never shown.
func (s *Server) finishing(done survey.Finish) (report.Finishing, error) {
	f, err := s.store.OpenBlob(done.SHA256)
	if err != nil {
		return report.Finishing{}, fmt.Errorf("open finishing %d: %w", done.Seq, err)
	}
	defer f.Close()
	body, err := io.ReadAll(f)
	if err != nil {
		return report.Finishing{}, fmt.Errorf("read finishing %d: %w", done.Seq, err)
	}
	if sum := sha256.Sum256(body); hex.EncodeToString(sum[:]) != done.SHA256 {
		return report.Finishing{}, fmt.Errorf("finishing %d is damaged: its content has another sum", done.Seq)
	}
	return report.ThawFinishing(body)
}

// checkedActs lists the acts about the end of a survey, when they are what they were.
func (s *Server) checkedActs(c *gin.Context, id survey.SurveyID) ([]survey.Finish, error) {
	acts, err := s.store.Finishes(c.Request.Context(), id)
	if err != nil {
		return nil, err
	}
	issued, err := s.store.Revisions(c.Request.Context(), id)
	if err != nil {
		return nil, err
	}
	if err := survey.CheckFinishes(acts, issued); err != nil {
		return nil, fmt.Errorf("the record of how a survey ended is damaged: %s", survey.Message(err))
	}
	return acts, nil
}

// paperAct is the finishing whose papers are asked for: the one that the query names, else the one that holds.
func (s *Server) paperAct(c *gin.Context, id survey.SurveyID) (done, sign survey.Finish, err error) {
	acts, err := s.checkedActs(c, id)
	if err != nil {
		return done, sign, err
	}
	seq := survey.FinishNow(acts).Done.Seq
	if text := c.Query("act"); text != "" {
		if seq, err = strconv.Atoi(text); err != nil {
			seq = 0
		}
	}
	done, sign, ok := survey.FinishingOf(acts, seq)
	if !ok {
		return done, sign, survey.Errorf(survey.NotFound, "The work was not finished there.")
	}
	return done, sign, nil
}

// queryLang is the language that the query asks for.
func queryLang(c *gin.Context) catalogue.Lang {
	if c.Query("lang") == string(catalogue.Spanish) {
		return catalogue.Spanish
	}
	return catalogue.English
}

// recordPaper sends a completion record.
func (s *Server) recordPaper(c *gin.Context) error {
	id, err := surveyID(c)
	if err != nil {
		return err
	}
	done, sign, err := s.paperAct(c, id)
	if err != nil {
		return err
	}
	return s.sendFinishRecord(c, done, sign)
}

func (s *Server) sendFinishRecord(c *gin.Context, done, sign survey.Finish) error {
	f, err := s.finishing(done)
	if err != nil {
		return err
	}
	lang := queryLang(c)
	return s.sendPainted(c, f.Record(lang, done, sign), fmt.Sprintf("completion-record-%d-%s.pdf", done.Seq, lang))
}

// carePaper sends a care sheet: of the finishing asked for, or, while nothing was ever finished, as it would be now.
func (s *Server) carePaper(c *gin.Context) error {
	r, err := s.record(c)
	if err != nil {
		return err
	}
	if !r.Ended.Finished() && c.Query("act") == "" {
		company, err := s.store.Company(c.Request.Context())
		if err != nil {
			return err
		}
		lang := queryLang(c)
		return s.sendPainted(c, report.DraftCareSheet(r, survey.Compute(r), company, lang, s.now()), fmt.Sprintf("care-sheet-draft-%s.pdf", lang))
	}
	done, _, err := s.paperAct(c, r.Survey.ID)
	if err != nil {
		return err
	}
	return s.sendCareSheet(c, done)
}

func (s *Server) sendCareSheet(c *gin.Context, done survey.Finish) error {
	f, err := s.finishing(done)
	if err != nil {
		return err
	}
	lang := queryLang(c)
	return s.sendPainted(c, f.CareSheet(lang), fmt.Sprintf("care-sheet-%d-%s.pdf", done.Seq, lang))
}
