## Einrichten: Sprache und Einheiten, die Leitungen, die Aufzeichnung und ihre Kopien, dieses Gerät.

setup-language = Sprache und Einheiten
setup-language-note = Sprache, °C oder °F
setup-sources = Quellen und Fühler
setup-sources-note = Zustand, letzte Worte
setup-record = Aufzeichnung, Kopien
setup-record-note = jetzt eine Kopie machen
setup-machine = Dieses Gerät
setup-machine-note = seit wann, was fehlt
setup-of-language = Sprache
setup-of-units = Einheiten
language-name = Deutsch
units-metric = °C und mm
units-metric-note = Liter, Kilogramm
units-imperial = °F und Zoll
units-imperial-note = Gallonen, Pfund
two-parts = { $one } · { $two }
lasts-seconds = { $count } s
lasts-minutes = { $count } min
lasts-hours = { $count } h
lasts-days = { $count } Tage

no-sources = Noch keine Quelle ist eingerichtet.
never-heard = noch nichts gehört
heard-at = zuletzt { $at }
heard-ago = letztes Wort { $age } alt
wire-serial = serieller Anschluss
wire-mqtt = Broker
wire-modbus = Modbus
state-of-starting = beginnt
state-of-listening = hört zu
state-of-lost = verloren
state-of-refused = abgewiesen
state-of-stopped = angehalten
asks-you = ist es das richtige?
raw-words = Letzte Worte, wie sie kamen
said-last = Was zuletzt schiefging
other-device = Dort ist ein anderes Gerät als das erste. Erwartet: { $expected }. Gefunden: { $found }. Ist es das richtige?
right-device = Es ist das richtige
source-state = Zustand
source-since = Seit
source-kind = Verbunden über
source-where = Wo
source-last = Gehört
source-heard = Nachrichten gehört
source-refused = Nicht verstanden
source-dropped = Verworfen
source-reconnects = Neu verbunden

record = Die Aufzeichnung
record-state = Zustand
record-size = Größe
record-log = Noch nicht eingefügt
record-queued = Wartende Zeilen
record-dropped = Aufgegebene Zeilen
store-writing = wird geschrieben
store-full = lässt sich nicht schreiben
copies = Kopien
copy-now = Jetzt kopieren
copy-none = „Jetzt kopieren“ macht eine ganze, geprüfte Kopie neben der Aufzeichnung. Ein Datenträger, der ausfällt, nimmt beide mit: eine Kopie woanders aufbewahren.
copy-made = Kopiert und geprüft: { $file }, { $size }
copies-elsewhere = Woanders
remote-none = Kein anderer Speicher ist eingerichtet: Die Aufzeichnung ist nur hier.
remote = { $name }: { $state }
remote-is-sending = wird gesendet
remote-is-idle = nichts zu senden
remote-is-held = wartet auf den anderen Speicher
remote-is-refused = abgewiesen, braucht jemanden
remote-lacks = { $rows ->
    [one] ihm fehlt eine Zeile, Alter { $age }
   *[other] ihm fehlen { $rows } Zeilen, die älteste { $age } alt
  }
remote-whole = hat alles

machine-runs = Laufzeit
machine-clock = Uhr
clock-yes = gestellt
clock-no = nicht gestellt
machine-jumps = Sprünge der Uhr
machine-readings = Messwerte seit dem Start
machine-broker = Eigener Broker
machine-no-broker = keiner
machine-faults = Störungen
machine-not-watched = Was nicht beobachtet wird, und warum
watched-all = Alles wird beobachtet.

setup-zones = Räume und Bestimmung
setup-zones-note = Ziele, Namen, neuer Raum
no-zones = Noch kein Raum. „Neuer Raum“ berühren.
zone-new = Neuer Raum
zone-gone = Diesen Raum gibt es nicht mehr.
zone-meant-for = Bestimmt für
zone-aim = { $low }–{ $high } %
zone-no-aim = Hier gilt kein Ziel.
zone-rename = So nennen
zone-other-name = Anderer Name
zone-other-destination = Andere Bestimmung
zone-name-which = Wie heißt der Raum?
zone-destination-which = Wo wird stehen, was aus seinem Holz wird?

setup-ruler = Wahre Länge
setup-ruler-note = ein Strich für den Maßstab
ruler-heading = Dieser Strich ist { $mm } mm lang
ruler-how = Einen Maßstab daran halten. Stimmt es nicht, kennt das Fenster die Punktdichte der Anzeige nicht: beim Start die Punkte je Zoll angeben (dpi). Bis dahin haben Tasten und ferne Schrift nicht ihre wahre Größe.
