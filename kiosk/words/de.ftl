## Die eigenen Wörter der Tafel. Dieselben Schlüssel mit denselben Werten wie in en.ftl.
## Sätze über Luft und Holz sagt der Server. Zahlen kommen als Text herein, ganze Zahlen wählen hier ihre Mehrzahl.

## Seiten, in der Reihenfolge der Leiste

screen-shop = Werkstatt
screen-rack = Holzlager
screen-glue_up = Leimen
screen-seasons = Jahreslauf
screen-bench_book = Werkbuch
screen-setup = Einrichten

## Die vier Wörter eines Urteils

word-ready = bereit
word-wait = warten
word-look = ansehen
word-act = handeln

## Werkstatt

draws-to = Diese Luft zieht Holz auf
outlook = Drei Tage zurück, vier voraus
aim = Ziel
now = jetzt
yesterday = gestern { $emc }
air = Luft
humidity = Feuchte
dew-point = Taupunkt
silent = stumm
waiting = wartet
clock-not-set = Uhr nicht gestellt
weekday-short = { $day ->
    [1] Mo
    [2] Di
    [3] Mi
    [4] Do
    [5] Fr
    [6] Sa
   *[7] So
  }
month-short = { $month ->
    [1] Jan
    [2] Feb
    [3] März
    [4] Apr
    [5] Mai
    [6] Juni
    [7] Juli
    [8] Aug
    [9] Sep
    [10] Okt
    [11] Nov
   *[12] Dez
  }
date = { $day_of_month }. { $month }
stamp = { $weekday } { $date } · { $clock }

## Zum Ansehen, und was sich auf eine Berührung öffnet

to-look-at = Zum Ansehen
nothing-to-look-at = Nichts zum Ansehen
at = um { $at }
acknowledge = Gesehen
shelve = { $hours } h zurückstellen
unshelve = Wieder aufnehmen
back = Zurück
undo = Zurücknehmen
close = Schließen
caution = Vorsicht
source-of-limit = Quelle des Grenzwerts: { $source }
sending = Wird gesendet
not-done = Nicht geschehen: { $reason }
alert-over = Diese Meldung ist vorüber
state-acknowledged = gesehen
state-returned = wieder in Ordnung
state-suppressed = unterdrückt
shelved-until = zurückgestellt bis { $at }
page-of = { $page } von { $pages }

## Das Fenster über sich selbst

server-away = Server fort seit { $at }
waiting-for-server = Warten auf den Server
waiting-hint = Dieses Fenster versucht es weiter. Falls der Server nicht gestartet wurde: deploy/run startet ihn.
restarted = Dieses Fenster wurde neu gestartet
restarted-why = Nur das Bild war fort. Der Server hat jeden Messwert behalten.

## Seiten, die es noch nicht gibt

not-built-yet = { $screen }: noch nicht gebaut
later-seasons = Hier wird dieser Winter neben den früheren liegen.
