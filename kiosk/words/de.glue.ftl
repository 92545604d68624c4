## Leimen, und die Abendrunde

glue-ask = Fragen
glue-no-boards = Noch keine Bretter, deren Feuchte verfolgt wird. Holz kommt im Holzlager herein.
glue-touch-boards = Die Bretter berühren. Anderes Holz oder andere Dicke beginnt von vorn.
glue-two-pieces = Eine Platte braucht zwei Stück oder mehr.
glue-pieces-of = { $taken } von { $pieces }
glue-more-boards = wählen
glue-own-aim = { $low } bis { $high } %
glue-ask-pieces = { $lot }: wie viele Stück?
glue-not-possible = So nicht; richtig wäre: { $reason }
glue-before = Vor dem Leimen
glue-boards-across = { $count ->
    [one] Ein Streifen
   *[other] { $count } Bretter
  }, { $width } breit
glue-across-year = Breite übers Jahr, wenn geleimt wird
glue-if-now = jetzt
glue-if-later = { $days ->
    [0] heute
    [one] in 1 Tag
   *[other] in { $days } Tagen
  }
glue-when = Wann
glue-sooner = Was es beschleunigt
glue-against = Nicht bereit. Es ginge gegen:
glue-against-kept = Trotzdem geleimt, bleiben diese Gründe mit der Platte im Journal.
glue-all-the-same = Trotzdem geleimt
glue-adhesive-caution = Die Zahlen einer Gattung sind ein Anhalt: das Blatt des Herstellers geht vor. Handschuhe und frische Luft; Härter und Isocyanate können für immer allergisch machen, und Dämpfe brennen an einem Heizer.
name-of-panel = { $lot }, Platte
field-boards = Bretter
field-adhesive = Leim
field-clamp_h = In den Zwingen
field-glued-in = Geleimt in
field-rings = Jahresringe
ask-boards = Welche Bretter?
ask-adhesive = Welcher Leim?
ask-clamp_h = Wie lange in den Zwingen?
ask-glued-in = Wo wird geleimt?
ask-rings = Wie liegen die Jahresringe?
rings-not-told = nicht gesagt
rings-alternating = abwechselnd
rings-alike = alle gleich
glue-family-pva = PVA (Weißleim)
glue-family-cross-linking-pva = PVA, wasserfest
glue-family-urea-formaldehyde = Harnstoffharz
glue-family-polyurethane = Polyurethan
glue-family-epoxy = Epoxid
glue-family-hide = Glutinleim, heiß
do-glued = Geleimt
form-glued = Geleimt
tell-glued = Es ist in den Zwingen
done-glued = Geleimt

## Abendrunde

round = Abendrunde
round-heading = { $count ->
    [one] Ein Posten liegt offen oder inzwischen vielleicht anders
   *[other] { $count } Posten liegen offen oder inzwischen vielleicht anders
  }
round-nothing = Nichts liegt offen. Guten Feierabend.
round-as-it-was = Wie er war
round-opened = Geöffnet
round-moved = Anderswo
round-all = Alle wie sie waren
round-rest = { $count ->
    [one] Der andere wie er war
   *[other] Die anderen { $count } wie sie waren
  }
round-tell = { $count ->
    [0] Aufschreiben
    [one] Einen aufschreiben
   *[other] { $count } aufschreiben
  }
round-not-touched = Was nicht berührt wird, gilt als nicht gesehen.
round-where = { $lot }: wohin?
round-not-moved = Nicht umgelagert
