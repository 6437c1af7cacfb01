package words

import (
	"maps"
	"sync"
)

// The Spanish of building sites in the United States, to the reader as usted, in feet and inches. One thing has one name everywhere, here and in the
// crew notes of package calc (all common practice, no source, unless a word says otherwise):
//
//	deck      terraza            joist       vigueta            furring, strip   listón
//	ledger    larguero adosado   rim         viga de borde      ply              capa
//	beam      viga               header      dintel             row              hilera
//	hanger    estribo            blocking    bloqueo            backer           respaldo
//	ceiling   cielo raso         panel       panel              carrier          riel
//	channel   canal              seam        junta              notch            muesca
//	gutter    canaleta           downspout   bajante            fall             pendiente
//	flashing  tapajuntas         siding      revestimiento      weep hole        agujero de drenaje
//	screw     tornillo           fastening   fijación           bead             cordón
//	pin       marca              scope       alcance            survey           levantamiento
//	crew      cuadrilla          on site     en la obra         licensed trade   técnico con licencia

// spanish is the Spanish catalogue, by the English text.
var spanish = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	for _, part := range []map[string]string{
		spanishCautions(), spanishFixings(), spanishPlan(), spanishCover(), spanishSurvey(), spanishFindings(), spanishScope(), spanishRules(), spanishRuleNames(), spanishMethod(), spanishTables(), spanishSheets(), spanishCrew(), spanishReport(), spanishOffer(), spanishFinish(), spanishReview(),
	} {
		maps.Copy(all, part)
	}
	return all
})
