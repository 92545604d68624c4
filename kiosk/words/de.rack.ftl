## Das Holzlager, ein Posten, und alles, was von ihm gesagt werden kann.

add-stock = Holz annehmen
filter = Auswahl
filter-zone = Nur aus einem Raum
filter-word = Nur mit einem Urteil
filter-show = { $count ->
    [one] Einen Posten zeigen
   *[other] { $count } Posten zeigen
  }
rack-empty = Noch kein Holz. „Holz annehmen“ berühren, sobald die nächsten Bretter kommen.
rack-none-such = Kein Posten ist so. „Auswahl“ berühren und anders wählen.
being-fetched = Wird geholt
being-worked-out = wird gerechnet
not-known = Noch nicht bekannt: { $reason }
shell-and-core = außen { $shell } · innen { $core }
nothing-held-yet = Von der Holzfeuchte ist noch nichts bekannt.
more-deeds = Mehr
what-was-done = Was wurde mit { $lot } gemacht?
held-against = Gemessen an
sources = Quellen
part-mean = Mittel
part-shell = außen
part-core = innen
days-ago = { $days ->
    [0] heute
    [1] gestern
   *[other] vor { $days } Tagen
  }
next = Weiter
leave-open = Offen lassen
form-ready = Alles ist beantwortet. Eine Zeile berühren, um sie zu ändern.
not-answered = noch offen
decimal-point = ,
with-unit = { $number }{ $unit ->
    [mm] {" "}mm
    [in] ″
    [c] {" "}°C
    [f] {" "}°F
    [pct] {" "}%
    [kg] {" "}kg
    [lb] {" "}lb
    [h] {" "}h
    [days] {" "}Tage
    [m3] {" "}m³
    [ft3] {" "}ft³
    [m3h] {" "}m³/h
    [cfm] {" "}cfm
    [quarters] {"/4"}
   *[none] {""}
  }
unit-mm = mm
unit-in = Zoll
unit-c = °C
unit-f = °F
unit-pct = %
unit-kg = kg
unit-lb = lb
unit-h = h
unit-quarters = /4
unit-days = Tage
unit-m3 = m³
unit-ft3 = ft³
unit-m3h = m³/h
unit-cfm = cfm
usual-name = { $species } { $thickness } mm
name-of-part = { $lot }, Teil

## Wie ein Posten liegt, wie er eingeschnitten ist

lying-stickered = auf Leisten
lying-wrapped = eingepackt
lying-dead-stacked = dicht gestapelt
lying-one-face = eine Seite offen
lying-on-edge = hochkant
cut-flat = liegend
cut-rift = halbstehend
cut-quarter = stehend

## Was ein Feld ist, in einer Zeile

field-species = Holzart
field-thickness_mm = Dicke
field-pieces = Stück
field-cut = Jahresringe
field-width_mm = Breite
field-length_mm = Länge
field-start = Kommt aus
field-mc_pct = Gemessen
field-zone = Raum
field-lying = Liegt
field-destination = Bestimmt für
field-checked = Durchgesehen
field-face_checks = Risse der Fläche
field-twist = Windschief
field-bow = Gebogen
field-loose_knots = Lose Äste
field-bug_holes = Fraßlöcher
field-sapwood = Splint
field-stain = Verfärbung
field-damaged_edges = Kanten beschädigt
field-ends_sealed = Enden versiegelt
field-name = Name
field-size = Maß
field-since = Liegt so seit
field-confirmed = Zuletzt gesehen
field-rack = Platz
field-reading_pct = Anzeige
field-method = Messgerät
field-wood_temperature_c = Wärme im Holz
field-take_top_mm = Oben ab
field-take_bottom_mm = Unten ab
field-crook_mm = Krumm
field-knot = Durch einen Ast
field-kerf_mm = Schnittfuge
field-hollow_mm = Hohl
field-hollow_face = Hohle Seite
field-kg = Gewicht
field-prongs = Zinken
field-cover = Oberfläche
field-faces = Auf
field-to = An

## Die Frage im Ganzen

ask-species = Welches Holz ist es?
ask-thickness_mm = Wie dick ist es?
ask-pieces = Wie viele Stück?
ask-cut = Wie liegen die Jahresringe?
ask-width_mm = Wie breit ungefähr?
ask-length_mm = Wie lang ungefähr?
ask-start = Wo stand es vorher?
ask-mc_pct = Was sagte das Messgerät?
ask-zone = In welchem Raum?
ask-lying = Wie liegt es?
ask-destination = Wo wird es einmal stehen?
ask-checked = Durchgesehen: ist etwas zu vermerken?
ask-face_checks = Risse in den Flächen?
ask-twist = Windschief?
ask-bow = In der Länge gebogen?
ask-loose_knots = Lose Äste?
ask-bug_holes = Fraßlöcher?
ask-sapwood = Splintholz?
ask-stain = Verfärbt?
ask-damaged_edges = Kanten beschädigt?
ask-ends_sealed = Sind die Enden versiegelt?
ask-name = Wie heißt es?
ask-reading_pct = Was zeigt das Messgerät?
ask-method = Welche Art Messgerät?
ask-wood_temperature_c = Wie warm ist das Holz?
ask-take_top_mm = Wie viel kam oben ab?
ask-take_bottom_mm = Wie viel kam unten ab?
ask-crook_mm = Wie krumm wurde die Probeleiste?
ask-knot = Ging der Schnitt durch einen Ast?
ask-kerf_mm = Wie breit ist die Schnittfuge?
ask-hollow_mm = Wie hohl ist es unter dem Lineal?
ask-hollow_face = Welche Seite ist hohl?
ask-kg = Was wiegt das Probebrett?
ask-prongs = Was taten die Zinken?
ask-cover = Welche Oberfläche?
ask-faces = Auf welchen Seiten?
ask-to = An wen oder wohin?

## Antworten

start-kiln-dried-yard = technisch getrocknet, vom Händler
start-heated-store = beheiztes Lager
start-unheated-shed = unbeheizter Schuppen
start-metered = selbst gemessen
start-unknown = nicht bekannt
checked-nothing = nichts
checked-some = doch, etwas
amount-none = keine
amount-some = einige
amount-many = viele
yes-no-yes = ja
yes-no-no = nein
method-pins = mit Nadeln
method-dielectric = ohne Nadeln
face-top = oben
face-bottom = unten
faces-both = beiden Seiten
faces-one = einer Seite
prongs-straight = blieben gerade
prongs-pinch = klemmen nach innen
prongs-open = öffnen sich
cover-shellac-3 = Schellack, 3 Aufträge
cover-lacquer-3 = Nitrolack, 3 Aufträge
cover-polyurethane-3 = Polyurethanlack, 3 Aufträge
cover-urethane-varnish-3 = Urethan-Klarlack, 3 Aufträge
cover-spar-varnish-3 = Bootslack, 3 Aufträge
cover-tung-oil-3 = Tungöl, 3 Aufträge
cover-linseed-oil-3 = Leinöl, 3 Aufträge
cover-furniture-wax = Möbelwachs
cover-epoxy-3 = Epoxid, 3 Aufträge

## Arbeiten: was ein Knopf sagt, wie ein Blatt heißt, was gemeldet wird, was getan ist

do-metered = Messen
do-moved = Umlagern
do-milled = Hobeln
do-stickered = Auf Leisten
do-wrapped = Einpacken
do-unwrapped = Auspacken
do-one-face = Eine Seite offen
do-dead-stacked = Dicht stapeln
do-on-edge = Hochkant stellen
do-confirmed = Liegt noch so
do-ripped = Auftrennen
do-resawn = Auf halbe Dicke
do-straightedged = Lineal auflegen
do-weighed = Wiegen
do-fork-tested = Gabelprobe
do-split = Teilen
do-ends-sealed = Enden versiegelt
do-finished = Oberfläche
do-delivered = Ausliefern
do-used-up = Aufgebraucht
form-receive = Holz kommt herein
form-metered = Gemessen
form-moved = Umgelagert
form-milled = Gehobelt
form-ripped = Aufgetrennt
form-resawn = Auf halbe Dicke
form-straightedged = Unter dem Lineal
form-weighed = Gewogen
form-fork-tested = Gabelprobe
form-split = Geteilt
form-finished = Oberfläche
form-delivered = Ausgeliefert
tell-receive = Es ist da
tell-metered = Aufschreiben
tell-moved = Es liegt dort
tell-milled = Ist gehobelt
tell-ripped = Ist aufgetrennt
tell-resawn = Ist aufgesägt
tell-straightedged = Aufschreiben
tell-weighed = Aufschreiben
tell-fork-tested = Aufschreiben
tell-split = Ist geteilt
tell-finished = Ist behandelt
tell-delivered = Ist fort
done-received = Holz kam herein
done-metered = Gemessen
done-moved = Umgelagert
done-milled = Gehobelt
done-stickered = Auf Leisten
done-wrapped = Eingepackt
done-unwrapped = Ausgepackt
done-one-face = Eine Seite offen
done-dead-stacked = Dicht gestapelt
done-on-edge = Hochkant
done-confirmed = So gesehen
done-ripped = Aufgetrennt
done-resawn = Aufgesägt
done-straightedged = Lineal
done-weighed = Gewogen
done-fork-tested = Gabelprobe
done-split = Geteilt
done-ends-sealed = Enden versiegelt
done-finished = Oberfläche
done-delivered = Ausgeliefert
done-used-up = Aufgebraucht

## Das Tagebuch eines Postens

journal = Tagebuch
journal-of-lot = Was darüber gesagt wurde, das Neueste zuerst
was-taken-back = { $done } (zurückgenommen)
take-back = Zurücknehmen
done-joined = Zusammengelegt
done-wrap-read = Im Packen gemessen
done-veneered = Furniert
done-fitted = Eingebaut
done-crated = Verpackt
done-customer-read = Beim Kunden gemessen
done-away = Abwesend
done-offered = Angeboten
done-offer-withdrawn = Angebot zurückgezogen
done-undone = Zurückgenommen
done-corrected = Berichtigt

## Arbeiten, bei denen nichts gefragt wird

form-stickered = Auf Leisten
form-wrapped = Eingepackt
form-unwrapped = Ausgepackt
form-one-face = Eine Seite offen
form-dead-stacked = Dicht gestapelt
form-on-edge = Hochkant
form-confirmed = Liegt wie aufgeschrieben
form-ends-sealed = Enden versiegelt
form-used-up = Aufgebraucht
tell-stickered = Liegt auf Leisten
tell-wrapped = Ist eingepackt
tell-unwrapped = Ist ausgepackt
tell-one-face = Liegt so
tell-dead-stacked = Ist gestapelt
tell-on-edge = Steht so
tell-confirmed = Ja, immer noch
tell-ends-sealed = Sind versiegelt
tell-used-up = Nichts übrig
field-hour = Wann
ask-hour = Wann war das?
hour-0 = jetzt
hour-1 = vor einer Stunde
hour-3 = vor drei Stunden
hour-24 = gestern um diese Zeit
