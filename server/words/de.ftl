# Jeder Satz über Luft und Holz, auf Deutsch. Das Verzeichnis der Schlüssel und ihrer Werte ist keys.py.
# Luft "zieht Holz auf" eine Zahl; diese Zahl heißt nie Feuchte des Holzes.
# Namen von Räumen und Posten stehen, wie sie sind, und ohne Artikel: welcher passt, weiß hier niemand.
# Zeitpunkte stehen nach "bis", "seit", "ab" oder einem Doppelpunkt, nie nach "um": sie heißen auch "gestern 7:41".

## Wann

weekday = { $day ->
    [1] Montag
    [2] Dienstag
    [3] Mittwoch
    [4] Donnerstag
    [5] Freitag
    [6] Samstag
   *[7] Sonntag
  }
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
when-date = { $date }. { $month }
when-stamp = { $weekday } { $date }. { $month } · { $clock }
when-tomorrow = morgen { $clock }
when-yesterday = gestern { $clock }
when-other = { $weekday } { $date }. { $month }, { $clock }

## Ein Raum

zone-age = vor { $minutes } min
zone-age-hours = vor { $hours } h
zone-age-days = { $days ->
    [one] vor 1 Tag
   *[other] vor { $days } Tagen
  }
zone-heard = zuletzt gehört: { $at }
zone-never = noch nicht gehört
zone-last-known = zuletzt { TEMPERATURE($temperature_c) } · { $humidity_pct } %
aim-line = Ziel { $low }–{ $high } %: { $destination }
outlook-note = Zieht Holz bis { $day } voraussichtlich auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %.
outlook-rises = Steigt bis { $day } voraussichtlich auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %.
outlook-stays = Bleibt bis { $day } voraussichtlich bei { NUMBER($emc_pct, minimumFractionDigits: 1) } %.
outlook-silent = Kein Ausblick, solange die Fühler stumm sind.

## Oben: was zu tun ist, dann warum. "far" wird quer durch die Werkstatt gelesen: höchstens 30 Zeichen, darin Namen bis 15.

band-store-title = Es wird nichts mehr aufgezeichnet
band-store-why = Jetzt Platz auf dem Datenträger schaffen oder ihn zum Schreiben freigeben: Was nicht geschrieben ist, wird nur eine Weile gehalten.
band-store-far = Aufzeichnung ist gestört

band-dry-title = { $zone }: Luft zu trocken
band-dry-why = Die Luft dort zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; das Ziel beginnt bei { $limit_pct } %. Ausgehobeltes Holz einpacken oder weniger heizen.
band-dry-far = { $zone }: zu trocken
band-dry-far-short = Ein Raum ist zu trocken
band-dry-seen-title = { $zone }: immer noch zu trocken

band-damp-title = { $zone }: Luft zu feucht
band-damp-why = Die Luft dort zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; das Ziel endet bei { $limit_pct } %. Ausgehobeltes Holz einpacken oder trockenere Luft hereinlassen.
band-damp-far = { $zone }: zu feucht
band-damp-far-short = Ein Raum ist zu feucht
band-damp-seen-title = { $zone }: immer noch zu feucht

band-inside-title = { $zone }: wieder im Ziel
band-inside-why = Die Luft dort zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; die Grenze ist { $limit_pct } %. Vorüber ist es, wenn sie einige Stunden deutlich im Ziel geblieben ist.
band-inside-far = { $zone }: wieder gut
band-inside-far-short = Ein Raum ist wieder im Ziel
band-inside-seen-title = { $zone }: wieder im Ziel

band-falling-title = { $zone }: Luft trocknet aus
band-falling-why = Geht es so weiter, zieht die Luft dort Holz bis { $at } unter { $limit_pct } %. Ausgehobeltes Holz einpacken oder weniger heizen.
band-falling-far = { $zone }: trocknet aus
band-falling-far-short = Ein Raum trocknet aus
band-falling-seen-title = { $zone }: Luft trocknet weiter aus

band-outlook-dry-far = { $zone }: bald trocken
band-outlook-dry-far-short = Ein Raum wird wohl zu trocken
band-outlook-damp-far = { $zone }: bald feucht
band-outlook-damp-far-short = Ein Raum wird wohl zu feucht
band-extractor-far = { $zone }: Absaugung
band-extractor-far-short = Absaugung trocknet einen Raum
band-shelf-far = { $zone }: Regal kalt
band-shelf-far-short = Ein Regal wird kalt
band-iron-far = { $zone }: Eisen rostet
band-iron-far-short = Eisen rostet
band-mould-far = { $zone }: Schimmel
band-mould-far-short = Schimmel kann wachsen

band-silent-title = { $zone }: ein Fühler ist stumm
band-silent-why = { $sensor }, zuletzt gehört: { $at }. Stecker, Batterie und Netz ansehen.
band-silent-never-why = { $sensor } wurde noch nicht gehört. Stecker, Batterie und Netz ansehen.
band-silent-far = { $zone }: Fühler stumm
band-silent-far-short = Ein Fühler ist stumm
band-silent-seen-title = { $zone }: ein Fühler ist immer noch stumm
band-all-silent-title = { $zone }: kein Fühler zu hören
band-all-silent-why = Von den { $count } Fühlern dort ist seit { $at } keiner zu hören. Ansehen, was sie gemeinsam haben: Strom, Gateway, Netz.
band-all-silent-never-why = Von den { $count } Fühlern dort war noch keiner zu hören. Ansehen, was sie gemeinsam haben: Strom, Gateway, Netz.
band-all-silent-far = { $zone }: alle stumm
band-all-silent-far-short = Kein Fühler ist zu hören
band-all-silent-seen-title = { $zone }: immer noch kein Fühler zu hören

band-talking-title = { $zone }: ein Fühler ist nicht zu glauben
band-talking-far = { $zone }: Fühlerfehler
band-talking-far-short = Ein Fühler ist gestört
band-talking-seen-title = { $zone }: ein Fühler ist immer noch nicht zu glauben

band-seen-why = Gesehen: { $at }. Kommt wieder, wenn es um { $worse_pct } % schlimmer wird.
band-seen-plain-why = Gesehen: { $at }; es besteht weiter.
band-shelved-title = { $zone }: zurückgestellt bis { $at }
band-shelved-why = Kommt dann wieder, falls es noch besteht.
band-shelved-far = { $zone }: vertagt
band-shelved-far-short = Für eine Weile zurückgestellt

band-put-off-why = Zurückgestellt bis { $at }. Kommt dann wieder, falls es noch besteht.
band-source-far = Eine Fühlerleitung ist weg
band-source-back-far = Eine Leitung ist wieder da
band-remote-far = Die Kopie hinkt nach
band-record-far = Aufzeichnung ansehen
band-clock-far = Die Uhr ist nicht gestellt
band-sensor-far = Einen Fühler ansehen

band-outside-title = { $zone }: eine Weile im Auge behalten
band-outside-why = Die Luft dort zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %, das Ziel ist { $low }–{ $high } %. Hält das an, wird es dringlicher gemeldet.
band-outside-far = { $zone }: nicht im Ziel
band-outside-far-short = Ein Raum ist nicht im Ziel

band-ready-title = Weiterarbeiten: die Luft ist im Ziel
band-ready-why = Am nächsten an einer Grenze: { $zone }. Die Luft dort zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %, Ziel { $low }–{ $high } %.
band-ready-far = Die Luft ist im Ziel

band-empty-title = Noch kein Fühler
band-empty-why = Den ersten in stillstack.toml eintragen; die Schritte stehen unten.
band-empty-far = Noch kein Fühler

band-waiting-title = Warten auf die ersten Messwerte
band-waiting-why = Noch ist nichts zu hören. Ein Fühler, der zehn Minuten stumm bleibt, wird genannt.
band-waiting-far = Warten auf erste Messwerte

band-quiet-title = Warten auf die Fühler
band-quiet-why = Seit einer Weile ist kein Raum zu hören, darum steht hier nichts über die Luft.
band-quiet-far = Warten auf die Fühler

band-off-title = Zurzeit wird kein Ziel überwacht
band-off-why = Alles liegt im Freien oder ist für die Saison abgemeldet. Was zu hören ist, wird trotzdem aufgezeichnet.
band-off-far = Kein Ziel wird überwacht

## Meldungen

alert-since = seit { $at }
alert-dry-title = { $zone }: zu trocken
alert-dry-why = Die Luft zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; das Ziel beginnt bei { $limit_pct } %.
alert-damp-title = { $zone }: zu feucht
alert-damp-why = Die Luft zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; das Ziel endet bei { $limit_pct } %.
alert-inside-title = { $zone }: wieder im Ziel
alert-inside-why = Die Luft zieht Holz auf { NUMBER($emc_pct, minimumFractionDigits: 1) } %; die Grenze ist { $limit_pct } %. Vorüber ist es, wenn sie einige Stunden deutlich im Ziel geblieben ist.
alert-falling-title = { $zone }: trocknet schnell
alert-falling-why = In sechs Stunden von { NUMBER($from_pct, minimumFractionDigits: 1) } auf { NUMBER($to_pct, minimumFractionDigits: 1) } %; geht es so weiter, bis { $at } unter { $limit_pct } %.
alert-outlook-dry-title = { $zone }: wird zu trocken
alert-outlook-dry-why = { $how ->
    [sure] Bis { $at } zieht die Luft dort Holz voraussichtlich unter { $limit_pct } %
   *[end] Bis { $at } zieht die Luft dort Holz womöglich unter { $limit_pct } %, in einem von zehn Fällen oder öfter
}; jetzt sind es { FIGURE($emc_pct) } %. Ausgehobeltes Holz einpacken und heute Nacht weniger heizen.
alert-outlook-damp-title = { $zone }: wird zu feucht
alert-outlook-damp-why = { $how ->
    [sure] Bis { $at } zieht die Luft dort Holz voraussichtlich über { $limit_pct } %
   *[end] Bis { $at } zieht die Luft dort Holz womöglich über { $limit_pct } %, in einem von zehn Fällen oder öfter
}; jetzt sind es { FIGURE($emc_pct) } %. Ausgehobeltes Holz einpacken und feuchte Luft draußen halten.
alert-extractor-title = { $zone }: Absaugung trocknet
alert-extractor-hours-why = Draußen sind es { TEMPERATURE($outdoor_c) }: Was für die abgesaugte Luft nachströmt, zieht Holz auf { FIGURE($incoming_pct) } %; der Raum steht bei { FIGURE($emc_pct) } %, sein Ziel beginnt bei { $limit_pct } %. Vorgesehen ist die Absaugung bis { $at }: ausschalten, sobald kein Staub mehr entsteht.
alert-extractor-why = Die Raumluft zieht schnell nach draußen ab, und dort sind es { TEMPERATURE($outdoor_c) }: Was nachströmt, zieht Holz auf { FIGURE($incoming_pct) } %; der Raum steht bei { FIGURE($emc_pct) } %, sein Ziel beginnt bei { $limit_pct } %. Tür schließen, oder die Absaugung ausschalten, sobald kein Staub mehr entsteht.
alert-extractor-rests-why = Die Absaugung ruht jetzt. Draußen sind es { TEMPERATURE($outdoor_c) }: Was nachströmt, während sie läuft, zieht Holz auf { FIGURE($incoming_pct) } %; der Raum steht bei { FIGURE($emc_pct) } %, sein Ziel beginnt bei { $limit_pct } %. Solange es so kalt bleibt, nur laufen lassen, wenn Staub entsteht.
alert-shelf-title = { $zone }: Regal wird kalt
alert-shelf-why = Das Regal hat { TEMPERATURE($temperature_c) }. Was auf Wasserbasis ist, verdirbt beim Einfrieren für immer und gehört über { TEMPERATURE($least_c) }: Leim und Lacke hereinholen.
alert-shelf-ahead-why = Das Regal hat { TEMPERATURE($temperature_c) } und fällt binnen { GIVEN($in_h) } h auf { TEMPERATURE($least_c) }. Was auf Wasserbasis ist, verdirbt beim Einfrieren für immer: Leim und Lacke hereinholen.
alert-iron-title = { $zone }: Eisen rostet
alert-iron-why = Das Eisen dort hat { TEMPERATURE($metal_c) } und an der Haut { $metal_rh_pct } % Luftfeuchte. Trocken wischen, ölen oder wachsen und den Raum langsam erwärmen.
alert-iron-sweats-why = Das Eisen dort hat { TEMPERATURE($metal_c) }, kälter als der Taupunkt der Luft: Es steht Wasser darauf. Trocken wischen, ölen oder wachsen und feuchte Luft draußen halten, bis es warm ist.
alert-mould-title = { $zone }: Schimmel kann wachsen
alert-mould-why = An der kältesten Wand waren es in der letzten Woche { $surface_rh_pct } % Luftfeuchte bei { TEMPERATURE($surface_c) }; ab { $limit_pct } % kann Schimmel wachsen, zu sehen nach etwa { $weeks ->
    [one] einer Woche
   *[other] { $weeks } Wochen
} davon. Holz von Außenwänden abrücken, dahinter nachsehen, feuchte Luft hinauslassen oder den Raum heizen.
alert-silent-title = { $zone }: Fühler stumm
alert-silent-why = { $sensor }, zuletzt gehört: { $at }. Stecker, Batterie und Netz ansehen.
alert-silent-never-why = { $sensor } ist seit dem Start nicht zu hören. Stecker, Batterie und Netz ansehen.
alert-all-silent-title = { $zone }: kein Fühler zu hören
alert-all-silent-why = Von den { $count } Fühlern dort ist seit { $at } keiner zu hören. Ansehen, was sie gemeinsam haben: Strom, Gateway, Netz.
alert-all-silent-never-why = Von den { $count } Fühlern dort ist seit dem Start keiner zu hören. Ansehen, was sie gemeinsam haben: Strom, Gateway, Netz.
alert-talking-title = { $zone }: Fühler nicht zu glauben
alert-talking-why = { $sensor } meldet sich, aber solche Luft gibt es nicht; zuletzt glaubhaft: { $at }. Drähte ansehen; bleibt es so, den Fühler tauschen.
alert-talking-never-why = { $sensor } meldet sich, aber solche Luft gibt es nicht. Drähte und Bauart ansehen; bleibt es so, den Fühler tauschen.
alert-unheard-why = Dort ist zurzeit kein Fühler zu hören; als zuletzt einer zu hören war ({ $at }), bestand es.
alert-unheard-never-why = Dort ist seit dem Start kein Fühler zu hören; vorher bestand es.
alert-returned-why = Vorüber seit { $at }. Als gesehen bestätigen, dann ist es erledigt.
alert-back-why = Wieder da: { $at }, nach { SPAN($stood_s) }. Als gesehen bestätigen, dann ist es erledigt.
alert-while-away-why = Während niemand da war: Es hielt { SPAN($stood_s) } an und war vorbei: { $at }. Als gesehen bestätigen, dann ist es erledigt.
alert-stale = Das besteht seit über einem Tag: die Ursache beheben oder die Grenze ändern.
alert-chattering = An einem Tag { $times }-mal gekommen: Es liegt genau auf der Grenze, oder etwas schaltet ein und aus.
suppressed-over-salt = Zurückgehalten, solange { $sensor } über einem Salz hängt.
suppressed-off-season = Zurückgehalten bis { $date }: { $zone } ist für die Saison abgemeldet.
suppressed-away = Zurückgehalten bis { $at }: Niemand ist in der Werkstatt, und alles dort ist eingepackt.
suppressed-nobody = Zurückgehalten bis { $at }: Niemand ist in der Werkstatt, und hier braucht es Hände.
suppressed-over-why = Vorbei: { $at }, nach { SPAN($stood_s) }, während niemand da war. Es wird gemeldet, sobald jemand da ist.
suppressed-source-lost = Zurückgehalten, solange { $source } weg oder eben erst zurück ist: Erst muss der Fühler wieder zu hören sein.
suppressed-all-silent = Zurückgehalten, solange dort gar kein Fühler zu hören ist; das wird einmal gemeldet.
suppressed-dry-limit = Zurückgehalten, solange schon gemeldet ist, dass es zu trocken ist.
suppressed-damp-limit = Zurückgehalten, solange schon gemeldet ist, dass es zu feucht ist.
measure-alarms-per-day = Alarme je Tag, im Mittel
measure-alarms-per-hour = Alarme je Stunde, im Mittel
measure-alarms-per-10-min = Alarme je zehn Minuten, im Mittel
measure-most-in-10-min = Meiste Alarme in zehn Minuten
measure-ten-minutes-over-10-pct = Zehn-Minuten-Abschnitte mit mehr als 10 Alarmen
measure-hours-over-30-pct = Stunden mit mehr als 30 Alarmen
measure-flood-pct = Zeit in einer Alarmflut
measure-top-ten-share-pct = Anteil der zehn häufigsten Alarme
measure-chattering = Flatternde Alarme
measure-stale-on-worst-day = Stehende Alarme am schlimmsten Tag
measure-stale = Stehende Alarme insgesamt
measure-asking-nothing-per-week = Meldungen je Woche, die nichts verlangen
change-seen = Jemand hat es gesehen.
change-shelved = Zurückgestellt bis { $at }.
change-back = Wieder da nach { SPAN($stood_s) }.
change-put-away = Erledigt; es hatte { SPAN($stood_s) } bestanden.
change-unwatched = Nicht mehr überwacht; es hatte { SPAN($stood_s) } bestanden.
change-over = Vorüber.
alert-stuck-title = { $zone }: Fühler hängt
alert-stuck-why = { $sensor } sendet schon zu lange dieselben Zahlen, um noch zu messen. Eine Minute vom Strom nehmen; bleibt es so, tauschen.
alert-wet-title = { $zone }: Fühler nass
alert-wet-why = { $sensor } sagt seit Stunden 100 %: Er ist selbst nass oder defekt. Im Raum trocknen lassen; bleibt es so, tauschen.
alert-parting-title = { $zone }: zwei Fühler laufen auseinander
alert-parting-why = { $sensor } und { $mate } stimmen von Woche zu Woche weniger überein: Nach ihrer Luft gerechnet läge Holz jeden Monat { NUMBER($month_pct, minimumFractionDigits: 2) } % weiter auseinander. Beide über einem Salz prüfen.
alert-check-due-title = { $zone }: Salzprobe fällig
alert-check-due-why = Die letzte Salzprobe von { $sensor } ist alt. Neu prüfen.
alert-remote-title = { $remote }: Kopie hinkt nach
alert-remote-why = Der älteste Messwert wartet seit { $behind_h } h auf seine Kopie. Hier geht nichts verloren; nachsehen, ob die Gegenstelle läuft und erreichbar ist.
alert-remote-refused-why = Sie antwortet: { $reason }. Hier geht nichts verloren; ein neuer Versuch kommt von selbst.
alert-record-given-up-why = Der Datenträger ist voll oder schreibgeschützt, der Speicher auch: { $count } Messwerte sind verloren. Jetzt Platz schaffen.
alert-disk-title = Der Datenträger ist fast voll
alert-disk-why = Für die Aufzeichnung bleiben { $free_mb } MB. Vom Datenträger nehmen, was dort nicht gebraucht wird.
alert-log-title = Das Protokoll der Aufzeichnung wächst
alert-log-why = Es ist { $log_mb } MB groß und wird nicht kleiner: Vielleicht liest ein Programm die Aufzeichnung ohne Pause. Dieses Programm beenden.
alert-backup-title = Keine frische Sicherung
alert-backup-why = Die jüngste: { $at }. Nachsehen, ob ihr Ordner beschreibbar ist und Platz hat.
alert-backup-failed-why = Es meldet: { $reason }. Neuer Versuch morgen, oder sofort von Hand: stillstack store backup.
alert-check-title = Die Aufzeichnung besteht ihre Prüfung nicht
alert-check-why = Es meldet: { $reason }. Den Server neu starten: Was lesbar ist, kommt in eine neue Aufzeichnung. An einen neuen Datenträger denken.
alert-salvage-title = Die Aufzeichnung war beschädigt
alert-salvage-why = Was lesbar war, steht in einer neuen, seit { $at }. Die beschädigte Datei und ein Bericht liegen daneben; an einen neuen Datenträger denken.

## Vorsicht, immer neben dem, wozu sie gehört

caution-heater = Heizgeräte und Befeuchter bei Staub oder Lösemitteldampf: Brandgefahr. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften.
caution-extractor = Holzstaub schadet der Lunge, und seine Wolken explodieren: Die Absaugung läuft immer, wenn Staub entsteht. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften.
caution-oily-rags = Öllappen entzünden sich von selbst: im Freien ausgebreitet trocknen oder unter Wasser in einer geschlossenen Dose aufbewahren. Eine Maschine vom Netz trennen, bevor die Hand hineingreift.
caution-mould = Schimmel schadet der Lunge: Maske und Handschuhe an, nie trocken abbürsten, und ist er breiter als eine Hand, den Fachbetrieb fragen.
caution-unvented = Ein Heizgerät ohne Abzug gibt Kohlenmonoxid und Wasser ab; jedes Heizgerät bei Staub oder Lösemitteldampf ist eine Brandgefahr. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften.

caution-adhesive = Zuerst gilt das Merkblatt des Herstellers. Handschuhe tragen, gut lüften: Härter und Isocyanate können auf Dauer allergisch machen, und Lösemitteldampf entzündet sich an einem Heizgerät. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften.
caution-lumber = Preise für nutzbares Holz setzen ebene, trockene Bretter voraus: den Stapel ansehen. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage abrichten oder hobeln, und dem Staub aus dem Weg gehen.
caution-resaw = Vor dem Auftrennen eine Gabelprobe schneiden: Holz unter Spannung schließt sich hinter dem Blatt und schlägt zurück. Spaltkeil einsetzen, anhalten, wenn die Fuge zugeht; die Hälften können hohl werden, darum wo möglich mehr stehen lassen, als hier steht.
caution-salt = Salze und ihre Sole reizen Haut und Augen und lassen Stahl rosten: Handschuhe tragen, das Glas von Essen, Werkzeug und Kindern fernhalten, keine Sole an offene Elektronik lassen, und das Sicherheitsdatenblatt des Salzes beachten.

## Hinweise: das Messgerät über sich selbst

notice-source-lost-title = Broker { $source } nicht erreicht
notice-source-lost-why = Seit { $at }; es wird weiter versucht. Was die Fühler inzwischen senden, kommt, wenn er zurück ist.
notice-port-lost-title = Serielle Leitung weg
notice-port-lost-why = { $source }, seit { $at }; es wird weiter versucht. Stecker ansehen: Was inzwischen gesendet wird, ist verloren.
notice-wire-lost-title = { $source } nicht erreicht
notice-wire-lost-why = Seit { $at }; es wird weiter versucht. Stecker und Netz ansehen.
notice-source-back-title = { $source } ist wieder da seit { $at }
notice-source-back-kept-why = Die Leitung war eine Weile weg. Was inzwischen aufgehoben wurde, ist aufgezeichnet und zählt, wo es seine eigene Zeit nennt.
notice-source-back-why = Die Leitung war eine Weile weg. Was inzwischen gesendet wurde, fehlt in der Aufzeichnung.
notice-source-refused-title = { $source } wird abgewiesen
notice-source-refused-why = Die Antwort: { $reason }. Das richtigstellen; ein neuer Versuch kommt von selbst.
notice-server-restarted-title = Neu gestartet: { $at }
notice-server-restarted-why = Die Aufzeichnung von vorher ist erhalten. Was die Fühler inzwischen nicht loswerden konnten, fehlt darin.
notice-clock-not-set-title = Die Uhr ist nicht gestellt
notice-clock-not-set-why = Messwerte werden bis dahin behalten und gekennzeichnet. Netz ansehen oder die Uhr von Hand stellen.
notice-store-full-title = Es wird nichts mehr aufgezeichnet
notice-store-full-why = Der Datenträger ist voll oder schreibgeschützt. Jetzt Platz schaffen: Was nicht geschrieben ist, wird nur eine Weile gehalten.
notice-outside-fit-title = { $zone }: ungewöhnliche Luft
notice-outside-fit-why = Für so kalte, heiße oder feuchte Luft ist die Gleichung nicht gemacht: Worauf sie Holz zieht, ist als Richtung zu nehmen, nicht als Zahl.
notice-sensors-apart-title = { $zone }: Fühler sind uneins
notice-sensors-apart-why = Sie liegen mehr als 1 % auseinander in dem, worauf diese Luft Holz zieht. Einige Stunden nebeneinander hängen und vergleichen.

## Die leere Wand

empty-title = Den ersten Fühler anlegen
empty-line-1 = { $path } öffnen.
empty-line-2 = Eine Zone benennen, dann eine Quelle: eine serielle Schnittstelle oder einen Broker. Für beide steht dort ein Beispiel zum Einkommentieren.
empty-line-3 = Zu jedem Fühler sagen, in welcher Zone er hängt, weg von Heizung, Tür und Sonne.
empty-line-4 = deploy/run neu starten. Fehler werden mit Datei, Zeile und der richtigen Angabe genannt.

## Das Werkbuch

book-emc = Luft von { TEMPERATURE($temperature_c) } und { FIGURE($humidity_pct) } % Luftfeuchte zieht Holz auf { FIGURE($emc_pct) } %.
book-emc-rest = Trocknendes Holz kommt etwas darüber zur Ruhe, Holz, das Wasser aufnimmt, etwas darunter.
book-emc-dew = Ihr Taupunkt ist { TEMPERATURE($dew_point_c) }.
book-emc-spread = In acht von zehn Fällen meint ein so guter Fühler { FIGURE($emc_low_pct) } bis { FIGURE($emc_high_pct) } %; die Streuung des Holzes kommt hinzu.
book-humidity = Bei { TEMPERATURE($temperature_c) } zieht Luft von { FIGURE($humidity_pct) } % Luftfeuchte Holz auf { FIGURE($emc_pct) } %.
book-salt = Über nassem { $salt } hat die Luft bei { TEMPERATURE($temperature_c) } { NUMBER($humidity_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % Luftfeuchte, auf ± { NUMBER($uncertainty_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % genau.
book-price = { $label }: { FIGURE($board_feet) } Boardfuß für { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, gehobelt { $pieces ->
        [one] ein Stück
       *[other] { $pieces } Stück
    } von { FIGURE($piece_mm) } mm: { NUMBER($per_usable, minimumFractionDigits: 2, maximumFractionDigits: 2) } je nutzbarem Boardfuß{ $settles ->
        [known] ; zur Ruhe kommt es { book-after }
        [already] ; es ist schon zur Ruhe gekommen
       *[unknown] {""}
    }.
book-price-planed-too-thin = { $label }: { FIGURE($board_feet) } Boardfuß für { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, aber gehobelt bleiben { FIGURE($piece_mm) } mm, gebraucht werden { GIVEN($need_mm) } mm.
book-price-resawn-too-thin = { $label }: { FIGURE($board_feet) } Boardfuß für { NUMBER($cost, minimumFractionDigits: 2, maximumFractionDigits: 2) }, aber aufgetrennt und gehobelt bleiben { FIGURE($piece_mm) } mm, gebraucht werden { GIVEN($need_mm) } mm.
book-price-least = { $label } kostet, am Nutzbaren gemessen, am wenigsten.
book-price-air = Gerechnet auf Stapelleisten, von { GIVEN($from_pct) } % Holzfeuchte, in Luft von { GIVEN($temperature_c) } °C und { GIVEN($humidity_pct) } % Luftfeuchte.
book-price-none = Kein Angebot ergibt die nötige Dicke.
book-movement-shrinks = { GIVEN($width_mm) } mm schwinden um { MM($change_mm) } mm von { FIGURE($from_pct) } auf { FIGURE($to_pct) } % Holzfeuchte.
book-movement-swells = { GIVEN($width_mm) } mm quellen um { MM($change_mm) } mm von { FIGURE($from_pct) } auf { FIGURE($to_pct) } % Holzfeuchte.
book-movement-still = { GIVEN($width_mm) } mm bewegen sich nicht von { FIGURE($from_pct) } auf { FIGURE($to_pct) } % Holzfeuchte.
book-movement-diamond = Ein Vierkant mit solchen Jahresringen wird zur Raute: Seine Ecken verlassen den rechten Winkel um { NUMBER($diamond_deg, minimumFractionDigits: 2, maximumFractionDigits: 2) }°.
book-after = { $unit ->
        [h] nach { NUMBER($count, maximumFractionDigits: 0) } h
        [late] erst nach dieser Saison
       *[days] nach { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
book-cup-hollow = Die Oberseite wird hohl, schlimmstenfalls um { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm, { book-after }.
book-cup-round = Die Oberseite wird rund und die Unterseite hohl, schlimmstenfalls um { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm, { book-after }.
book-cup-flat = Auf { GIVEN($width_mm) } mm bleibt es eben, soweit es an der Luft liegt: Beide Seiten gleichen sich gleich schnell an.
book-cup-ring = { $side ->
        [bark] Ist alles der Luft gefolgt, krümmen es die Jahresringe um { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm, die linke Seite (zur Rinde) hohl.
        [pith] Ist alles der Luft gefolgt, krümmen es die Jahresringe um { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm, die rechte Seite (zum Mark) hohl.
       *[none] Die Jahresringe krümmen es zu wenig, um es zu sehen.
    }
book-cup-tension = Am meisten unter Zug stehen die Außenschichten { book-after }: Zugzahl { NUMBER($index, minimumFractionDigits: 2, maximumFractionDigits: 2) }, gerechnet für ein eben gehaltenes Brett, dessen Holz nie nachgibt. Sie vergleicht eine Trocknung mit der anderen, nicht einen Einschnitt mit dem anderen: je kleiner, desto besser.
book-cup-tension-none = Die Außenschichten stehen nicht unter Zug.
book-cup-ends = { $ends ->
        [open] Das Hirnholz reißt vor den Flächen: versiegeln.
       *[unknown] Das Hirnholz reißt vor den Flächen: Ist es versiegelt?
    }
book-caution-cup = Höchstwerte: Holz gibt mit der Zeit nach, und durch die Bank geht etwas Feuchte. Was Wuchs und Trockenkammer im Brett gelassen haben, zeigt sich erst beim Schneiden. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage hobeln.
book-meter = Das Holz hat dort { FIGURE($mc_pct) } % Holzfeuchte, auf ± { FIGURE($spread_pct) } % genau.
book-meter-low = { NUMBER($mc_pct, maximumFractionDigits: 1) } % oder weniger: Wie viel weniger, sagen Messspitzen nicht.
book-meter-high = { NUMBER($mc_pct, maximumFractionDigits: 1) } % oder mehr: Ab hier sagen Messspitzen nur noch, dass es nass ist.
book-meter-row = { $stands ->
        [group] Die Widerstandstabelle hat eine Zeile für die ganze Gruppe: { $name }.
       *[genus] Die Widerstandstabelle hat dafür keine eigene Zeile; es steht die einer anderen Art derselben Gattung: { $name }.
    }
book-caution-meter = Blanke Messspitzen zeigen das feuchteste Holz, das sie berühren. Ein Fünftel bis ein Viertel der Dicke tief eingeschlagen, zeigen sie bei einem trocknenden Brett ungefähr das Mittel. Ist das Gerät auf Holzart und Temperatur eingestellt, wird nicht noch einmal korrigiert.
book-mill-cup = Schlimmstenfalls { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl, { book-after }.
book-mill-flat = Auf { GIVEN($width_mm) } mm bleibt es eben, soweit es an der Luft liegt.
book-mill-first = Gleich nach dem Hobeln ist es { MM($at_once_mm) } mm uneben, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl.
book-mill-at-once = Gleich nach dem Hobeln ist es { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl, und wird beim Angleichen nicht schlimmer.
book-mill-stood = Angenommen ist, dass es vor dem Hobeln { GIVEN($stood_days) } { $stood_days ->
        [one] Tag
       *[other] Tage
    } { $stood ->
        [one] flach auf der Bank
       *[both] auf Stapelleisten
    } in dieser Luft lag.
book-mill-settled = Ist es innen ausgeglichen, bleibt es { MM($settled_mm) } mm uneben, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl: Es wurde eben gehobelt, während es krumm stand.
book-mill-advice = { $advice ->
        [even-faces] Von beiden Seiten gleich viel abnehmen: höchstens { MM($peak_mm) } mm.
        [stickers] Danach auf Stapelleisten legen: höchstens { MM($peak_mm) } mm.
        [wrapped] Danach einpacken: höchstens { MM($peak_mm) } mm.
        [even-faces-and-stickers] Von beiden Seiten gleich viel abnehmen und danach auf Stapelleisten legen: höchstens { MM($peak_mm) } mm.
        [even-faces-and-wrapped] Von beiden Seiten gleich viel abnehmen und danach einpacken: höchstens { MM($peak_mm) } mm.
       *[as-planned] Kein anderer Weg, so viel abzunehmen, ist merklich besser.
    }
book-mill-extra = So gemacht, zuerst { MM($extra_mm) } mm Übermaß lassen, zusammen { FIGURE($first_mm) } mm; { book-after } den Rest gleichmäßig abnehmen: Am Ende bleibt es { MM($left_mm) } mm uneben.
book-mill-extra-not-this-season = So gemacht, zuerst { MM($extra_mm) } mm Übermaß lassen; für den letzten Durchgang ist es in dieser Saison innen nicht ausgeglichen genug.
book-mill-extra-none = Dieses Brett hat nicht genug Übermaß, um nach dem Verziehen auf diesem Maß eben zu werden: erst angleichen lassen oder weniger abnehmen.
book-mill-extra-nothing = So gemacht, braucht es wegen der Schüssel kein Übermaß; für Windschiefe und Krümmung das Nötige selbst zugeben.
book-mill-compare = { $faces ->
        [even] Beidseitig gleich viel ab
       *[uneven] Wie geplant
    }: höchstens { MM($stickers_mm) } mm auf Stapelleisten, { MM($wrapped_mm) } mm eingepackt, { MM($bench_mm) } mm flach auf der Bank.
book-caution-mill = Höchstwerte: Holz gibt mit der Zeit nach, und durch die Bank geht etwas Feuchte. Was Wuchs und Trockenkammer im Brett gelassen haben, Windschiefe und Krümmung kommen nicht von der Luft: vor einseitigem Hobeln eine Gabelprobe schneiden, und schüsseliges oder windschiefes Holz nie ohne sichere Auflage hobeln. Die Anleitung der Maschine geht vor. Staub: Absaugung und Maske.
book-resaw-half = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { GIVEN($thickness_mm) } mm dick, wird schlimmstenfalls { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, die { $face ->
        [sawn] Schnittseite
       *[outer] Außenseite
    } hohl, { book-after }: Darin steckt ein ebenes Stück von { FIGURE($flat_mm) } mm.
book-resaw-first = Gleich nach dem Schnitt ist sie { MM($at_once_mm) } mm uneben, die { $face ->
        [sawn] Schnittseite
       *[outer] Außenseite
    } hohl.
book-resaw-half-at-once = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { GIVEN($thickness_mm) } mm dick, ist gleich nach dem Schnitt { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, die { $face ->
        [sawn] Schnittseite
       *[outer] Außenseite
    } hohl, und wird beim Angleichen nicht schlimmer: Darin steckt ein ebenes Stück von { FIGURE($flat_mm) } mm.
book-resaw-flat = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { GIVEN($thickness_mm) } mm dick, bleibt auf { GIVEN($width_mm) } mm eben, soweit es an der Luft liegt.
book-resaw-rest = { $lying ->
        [wrapped] Eingepackt
       *[stickers] Auf Stapelleisten
    } liegen die Hälften außen und innen { book-after } weniger als 1 % auseinander: so lange ruhen lassen, dann hobeln.
book-resaw-rest-none = { $lying ->
        [wrapped] Eingepackt
       *[stickers] Auf Stapelleisten
    } liegen die Hälften außen und innen von Anfang an weniger als 1 % auseinander.
book-resaw-rest-not-this-season = { $lying ->
        [wrapped] Eingepackt
       *[stickers] Auf Stapelleisten
    } kommen die Hälften außen und innen in dieser Saison nicht auf weniger als 1 % zusammen: Sie sind nicht hobelreif.
book-caution-resaw = Höchstwerte: Holz gibt mit der Zeit nach. Wuchsspannung und Verschalung sieht man der Luft nicht an: erst eine Gabelprobe schneiden, und gehen ihre Zinken zusammen oder auseinander, das Brett ganz lassen. Holz, das sich hinter dem Blatt schließt, schlägt zurück: Spaltkeil einsetzen, anhalten, wenn die Fuge zugeht. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage sägen. Die Anleitung der Säge geht vor. Staub: Absaugung und Maske.
book-rip-crook = Nach dem Probestreifen wird ein Längsschnitt von { GIVEN($length_mm) } mm um { MM($crook_mm) } mm krumm.
book-rip-leave = { GIVEN($rip_width_mm) } mm breit schneiden, { GIVEN($oversize_mm) } mm Übermaß: je Kante ein Durchgang und die doppelte Krümmung, denn der zweite Schnitt löst noch mehr. Vor dem letzten Schnitt liegen lassen.
book-rip-strips = Drei Streifen, auf einen halben Millimeter gerade, und der Posten ist davon befreit.
book-rip-released = Die letzten drei Streifen waren auf einen halben Millimeter gerade: { GIVEN($rip_width_mm) } mm breit schneiden, { GIVEN($oversize_mm) } mm Übermaß, ein Durchgang je Kante.
book-caution-rip = Ein Ast in der Schnittlinie macht die Probe wertlos. Holz, das sich hinter dem Blatt schließt, schlägt zurück: Spaltkeil einsetzen, anhalten, wenn die Fuge zugeht. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage auftrennen, und nie mit krummer Kante am Anschlag. Die Anleitung der Säge geht vor. Staub: Absaugung und Maske.
book-layers-cup = Auf { GIVEN($width_mm) } mm verzieht sich die Platte um { MM($cup_mm) } mm, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl.
book-layers-flat = Auf { GIVEN($width_mm) } mm bleibt die Platte eben: Beide Seiten ziehen gleich.
book-layers-width = { GIVEN($width_mm) } mm davon { $way ->
        [shrinks] schwinden
       *[swells] quellen
    } um { MM($change_mm) } mm.
book-layers-stretched = Quer zur Faser am meisten auf Zug: { $what }, Zugzahl { NUMBER($index, minimumFractionDigits: 2, maximumFractionDigits: 2) }, gerechnet für Holz, das nie nachgibt. Sie vergleicht einen Aufbau mit dem anderen: je kleiner, desto besser.
book-layers-balance = Was auf der einen Seite ist, gehört auch auf die andere: dasselbe Holz, gleiche Dicke und Faserrichtung, gleich trocken.
book-caution-layers = Höchstwerte: Angenommen ist, dass Leimfugen sofort halten und kein Wasser bringen und dass Holz nie nachgibt. Wasserhaltiger Leim macht die Lagen nass, die er verbindet: die Platte ruhen lassen, bevor sie plangehobelt wird. Leim: Merkblatt des Herstellers, Handschuhe, Lüftung.
book-gap = { $fit ->
        [groove] Heute { MM($gap_today_mm) } mm Spiel am Grund jeder Nut lassen
        [door] Heute insgesamt { MM($gap_today_mm) } mm Spiel neben der Tür lassen
       *[drawer] Heute insgesamt { MM($gap_today_mm) } mm Spiel über und unter dem Schubkastenvorderstück lassen
    }: { MM($gap_dry_mm) } mm, wenn es am trockensten ist, { MM($gap_damp_mm) } mm, wenn es am feuchtesten ist.
book-gap-slot = Die Schraube von { GIVEN($screw_mm) } mm braucht ein Langloch von { MM($slot_mm) } mm: von heute an { MM($shrinks_mm) } mm davon zum Schwinden und { MM($swells_mm) } mm zum Quellen lassen.
book-panel = Über das Jahr arbeitet die Platte { MM($swing_mm) } mm, in acht von zehn Fällen zwischen { MM($swing_mm_low) } und { MM($swing_mm_high) } mm: { MM($width_driest_mm) } mm breit um den { $narrowest }, { MM($width_dampest_mm) } mm um den { $widest }.
book-panel-follows-bare = Wäre das Holz stets so feucht, wie die Luft es zieht, arbeitete es { MM($air_swing_mm) } mm; diese Platte kehrt { $lag_days ->
        [one] 1 Tag
       *[other] { NUMBER($lag_days, maximumFractionDigits: 0) } Tage
    } nach der Luft um.
book-panel-follows = Wäre das Holz stets so feucht, wie die Luft es zieht, arbeitete es { MM($air_swing_mm) } mm, diese Platte roh { MM($bare_swing_mm) } mm; sie kehrt { $lag_days ->
        [one] 1 Tag
       *[other] { NUMBER($lag_days, maximumFractionDigits: 0) } Tage
    } nach der Luft um.
book-panel-in-step = Von der Feuchte, mit der sie gebaut ist, braucht sie dahin { NUMBER($months, maximumFractionDigits: 0) } Monate.
book-panel-slow = Über ein Jahr arbeitet die Platte { MM($swing_mm) } mm, in acht von zehn Fällen zwischen { MM($swing_mm_low) } und { MM($swing_mm_high) } mm, und bleibt zehn Jahre und länger nahe den { GIVEN($width_mm) } mm, auf die sie gebaut ist.
book-panel-still = Über das Jahr arbeitet die Platte nicht: Sie wird { MM($width_mm) } mm breit und bleibt so.
book-panel-room = Im Rahmen braucht sie { MM($groove_depth_mm) } mm tiefe Nuten, heute mit { MM($groove_gap_today_mm) } mm Spiel am Grund. Verschraubt braucht sie Langlöcher von { MM($slot_mm) } mm, wenn die Gegenkante fest ist, von { MM($slot_from_middle_mm) } mm an beiden Kanten, wenn die Mitte fest ist.
book-panel-cups = Weil ihre Seiten nicht gleich dicht sind, schüsselt sie auch, die { $face ->
        [front] Vorderseite
       *[back] Rückseite
    } hohl, schlimmstenfalls um { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm: beide Seiten gleich behandeln.
book-panel-held = Quer festgeleimt oder festgenagelt würde sie bei der größten Trockenheit um { NUMBER($stretch_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % gedehnt, { $rank ->
        [within] weniger als die { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } %, bei denen Holzstreifen im Versuch nachzugeben begannen.
        [yields] mehr als die { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } %, bei denen Holzstreifen im Versuch nachzugeben begannen, weniger als die { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } %, ab denen sie brachen.
       *[fails] mehr als die { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } %, ab denen Holzstreifen im Versuch brachen.
    }
book-panel-held-set = Bei der größten Feuchte würde sie um { NUMBER($squeeze_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % gestaucht, und über { NUMBER($set_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % bleibt davon etwas zurück: In der nächsten trockenen Zeit klafft sie weiter.
book-caution-panel = Gerechnet für die Mitte einer Platte in einem gleichmäßigen Jahr. Nicht darin: offenes Hirnholz, das um ein Vielfaches schneller atmet; Wetter von Tagen, dem dünnes rohes Holz folgt; abgenutzte Oberflächen; was Hirnleisten und Rahmen zurückhalten; dass Holz der Luft nicht ganz folgt, was etwas wegnimmt; Kriechen. Die Dehnung ist elastisch und ordnet nur die Gefahr, sie sagt keinen Riss voraus. Oberfläche und Leim: Merkblatt des Herstellers, Handschuhe, Lüftung; Öllappen erhitzen sich von selbst.
book-own-species = { $name } ist eine eigene Holzart: Ihre Zahlen stehen unter [[species]] in stillstack.toml, und niemand sonst hat sie geprüft.
book-doubtful = { $figure ->
        [specific_gravity] Die Raumdichte
        [shrinkage] Das Schwindmaß
        [coefficient] Die Bewegungszahl
        [side_hardness] Die Härte
       *[other] Die Dauerhaftigkeit
    } von { $name } ist in ihrer Quelle zweifelhaft: nicht allein darauf verlassen.
book-by-shrinkage = Für { $name } ist keine Bewegungszahl bekannt, darum muss das Schwindmaß genügen{ $group ->
        [imported] : Bei Importhölzern mit beiden Zahlen ergibt das von 41 % weniger bis 26 % mehr Bewegung.
        [own] .
       *[other] : Bei heimischen Hölzern mit beiden Zahlen ergibt das von 12 % weniger bis 7 % mehr Bewegung.
    }
book-nothing = –
book-species-head = { $column ->
        [name] Holzart
        [dense] Raumdichte
        [hard] Seitenhärte
        [moves] Bewegung, Ringe liegend / stehend
        [half] Zur Hälfte angeglichen
       *[lasts] Kernholz gegen Fäulnis
    }
book-species-name = { $name }
book-species-dense = { NUMBER($value, minimumFractionDigits: 2, maximumFractionDigits: 2) }
book-species-hard = { NUMBER($value, maximumFractionDigits: 0) } N
book-species-moves = { NUMBER($flat_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } / { NUMBER($quarter_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm
book-species-half = { NUMBER($days, maximumFractionDigits: 0) } Tage ({ NUMBER($days_low, maximumFractionDigits: 0) } bis { NUMBER($days_high, maximumFractionDigits: 0) })
book-species-lasts = { $class ->
        [long] widersteht gut oder sehr gut
        [middling] widersteht mäßig
       *[little] widersteht wenig oder nicht
    }
book-species-columns = Raumdichte ist Darrmasse durch Frischvolumen, gegen Wasser. Seitenhärte ist die Kraft, die eine Stahlkugel halb eindrückt. Bewegung ist die von 100 mm je 1 % Holzfeuchte, Jahresringe liegend und stehend. Zur Hälfte angeglichen gilt für ein Brett von { NUMBER($thickness_mm, maximumFractionDigits: 0) } mm auf Stapelleisten, von { NUMBER($from_pct, maximumFractionDigits: 0) } % in Luft von { NUMBER($temperature_c, maximumFractionDigits: 0) } °C und { NUMBER($humidity_pct, maximumFractionDigits: 0) } % Luftfeuchte.
book-species-best = { $what ->
        [hard] Am härtesten: { $names }.
        [still] Arbeitet am wenigsten, Jahresringe liegend: { $names }.
        [quick] Gleicht sich am schnellsten an: { $names }.
       *[lasting] Hält am längsten: { $names }.
    }
book-species-note = Zu { $name }: { $note }.
book-caution-species = Eine Oberfläche macht weiches Holz nicht dauerhaft (Handwerksbrauch, ohne Quelle). Splintholz hält bei keiner Holzart.
book-cover-fitted = Was die Oberfläche zurückhält, stammt aus einem Versuch in feuchter Luft (30 bis 90 % Luftfeuchte bei { TEMPERATURE(27) }): In trockener Luft hält sie mehr zurück, wo sie dünn, abgenutzt oder rissig ist und an offenem Hirnholz weniger.
book-settle-shrinks = Es schwindet noch um { MM($left_mm) } mm auf { GIVEN($width_mm) } mm Breite.
book-settle-swells = Es quillt noch um { MM($left_mm) } mm auf { GIVEN($width_mm) } mm Breite.
book-settle-there = Außen und innen liegt es weniger als ein halbes Prozent neben den { FIGURE($emc_pct) } %, auf die diese Luft Holz zieht: Es ist zur Ruhe gekommen.
book-settle-there-unsure = Nach der angegebenen Zahl ist es zur Ruhe gekommen, weniger als ein halbes Prozent neben den { FIGURE($emc_pct) } %, auf die diese Luft Holz zieht; aber darauf ist zu wenig Verlass: Es kann { book-late } dauern.
book-late = { $unit ->
        [late] über diese Saison hinaus
       *[days] bis zu { NUMBER($count, maximumFractionDigits: 0) } { book-unit.lasting }
    }
book-count = { $spread ->
        [hour] weniger als einer Stunde
        [open] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, frühestens in { NUMBER($count_low, maximumFractionDigits: 0) }, und wie spät, weiß niemand
        [season] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, frühestens { WHOLE($count_low) ->
            [0] jetzt
           *[other] in { NUMBER($count_low, maximumFractionDigits: 0) }
        }, vielleicht nicht mehr in dieser Saison
        [lasts] { NUMBER($count, maximumFractionDigits: 0) } { book-unit }, frühestens in { NUMBER($count_low, maximumFractionDigits: 0) }
       *[closed] { NUMBER($count, maximumFractionDigits: 0) } { book-unit } (zwischen { NUMBER($count_low, maximumFractionDigits: 0) } und { NUMBER($count_high, maximumFractionDigits: 0) })
    }
    .lasting = { $spread ->
        [hour] weniger als eine Stunde
        [open] { NUMBER($count, maximumFractionDigits: 0) } { book-unit.lasting }, mindestens { NUMBER($count_low, maximumFractionDigits: 0) }, und wie lange höchstens, weiß niemand
        [season] { NUMBER($count, maximumFractionDigits: 0) } { book-unit.lasting }, mindestens { NUMBER($count_low, maximumFractionDigits: 0) }, vielleicht die ganze Saison
        [lasts] { NUMBER($count, maximumFractionDigits: 0) } { book-unit.lasting }, mindestens { NUMBER($count_low, maximumFractionDigits: 0) }
       *[closed] { NUMBER($count, maximumFractionDigits: 0) } { book-unit.lasting } (zwischen { NUMBER($count_low, maximumFractionDigits: 0) } und { NUMBER($count_high, maximumFractionDigits: 0) })
    }
book-unit = { $unit ->
        [h] h
       *[days] { WHOLE($count) ->
            [one] Tag
           *[other] Tagen
        }
    }
    .lasting = { $unit ->
        [h] h
       *[days] { WHOLE($count) ->
            [one] Tag
           *[other] Tage
        }
    }
book-settle-days = Außen und innen kommt es auf weniger als ein halbes Prozent an die { FIGURE($emc_pct) } % heran, auf die diese Luft Holz zieht, in { book-count }.
book-settle-not-this-season = Außen und innen bleibt es mehr als 60 Tage lang weiter als ein halbes Prozent von den { FIGURE($emc_pct) } % weg, auf die diese Luft Holz zieht: nicht in dieser Saison.
book-settle-pile = Dicht gestapelt gleichen sich { $pile } Bretter an wie eines von { GIVEN($thickness_mm) } mm; das Folgende gilt für das langsamste. Auf Stapelleisten gleicht sich jedes für sich an.
book-settle-mill-now-unsure = Nach der angegebenen Zahl ist es jetzt hobelreif, aber darauf ist zu wenig Verlass: Es kann { book-late } dauern. Noch einmal messen.
book-settle-mill-now = Es ist jetzt hobelreif: Außen und innen liegen weniger als 1 % auseinander, und das Mittel ist im Ziel.
book-settle-mill = Hobelreif in { book-count }: Dann liegen außen und innen weniger als 1 % auseinander, und das Mittel ist im Ziel.
book-settle-mill-until = Von jetzt an bleibt es so: { book-count.lasting }.
book-settle-mill-again = Wieder so ist es in { book-count }.
book-settle-mill-not-again = In dieser Saison ist es nicht noch einmal so.
book-settle-mill-not-this-season = In dieser Saison wird es nicht hobelreif: Außen und innen bleiben mehr als 1 % auseinander, oder das Mittel bleibt außerhalb des Ziels.
book-settle-mill-never = In dieser Luft wird es nicht hobelreif: Sie zieht es auf { FIGURE($emc_pct) } %, außerhalb seines Ziels von { FIGURE($low_pct) } bis { FIGURE($high_pct) } %.
book-settle-ends = Die äußeren { NUMBER($ends_mm, maximumFractionDigits: 0) } mm an Enden, die weder versiegelt noch eingepackt sind, eilen dem voraus{ $way ->
        [dries] ; Enden reißen zuerst: versiegeln oder absägen
       *[swells] {""}
    }.
book-settle-ends-pile = Die äußeren { NUMBER($ends_mm, maximumFractionDigits: 0) } mm an Enden, die weder versiegelt noch eingepackt sind, und die äußeren { NUMBER($edges_mm, maximumFractionDigits: 0) } mm an den offenen Längskanten eilen dem voraus{ $way ->
        [dries] ; Enden reißen zuerst: versiegeln oder absägen
       *[swells] {""}
    }.
book-water-aim = Das Ziel ist Luft von { FIGURE($humidity_pct) } % Luftfeuchte bei { TEMPERATURE($temperature_c) }, die Holz auf { FIGURE($aim_pct) } % zieht.
book-water-add = { FIGURE($litres_per_day) } Liter Wasser, über 24 Stunden verteilt, halten { GIVEN($volume_m3) } m³ an einem solchen Tag im Ziel.
book-water-remove = { FIGURE($litres_per_day) } Liter Wasser, über 24 Stunden verteilt, müssen aus der Luft heraus, damit { GIVEN($volume_m3) } m³ an einem solchen Tag im Ziel bleiben.
book-water-none = Kein Wasser muss hinein oder heraus, damit { GIVEN($volume_m3) } m³ an einem solchen Tag im Ziel bleiben.
book-water-refused = Für dieses Ziel werden keine Liter genannt: Bei { TEMPERATURE($outdoor_c) } draußen beschlagen { $glazing ->
    [single] einfache
   *[double] doppelte
} Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt. Bis { FIGURE($litres_per_day) } Liter am Tag bleiben die Scheiben trocken.
book-water-glass = Bei { TEMPERATURE($outdoor_c) } draußen beschlagen { $glazing ->
    [single] einfache
   *[double] doppelte
} Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt: nie mehr als { FIGURE($litres_per_day) } Liter am Tag.
book-water-glass-unknown = Ist gesagt, ob die Fenster einfach oder doppelt verglast sind, steht hier, ab welcher Feuchte sie beschlagen: Darüber kommen Schwitzwasser und Schimmel.
book-water-same-aim = Bei { TEMPERATURE($temperature_c) } im Raum hält dasselbe Ziel, ohne Wasser hinein oder heraus.
book-water-too-dry = Ohne Wasser erreicht keine Temperatur ab { TEMPERATURE(5) } das Ziel: Die Luft, die hereinkommt, ist zu trocken.
book-water-too-damp = Heizen allein erreicht das Ziel bis { TEMPERATURE(30) } nicht: Die Luft ist zu feucht.
book-water-closed = Ohne Luftwechsel gibt es kein Gleichgewicht: Was Wasser abgibt, macht den Raum immer feuchter.
book-water-flame = Die Flamme ohne Abzug bringt am Tag { FIGURE($kg_per_day) } kg Wasser in den Raum und Kohlenmonoxid dazu: Solche Heizer gehören ins Freie oder an einen Abzug, mit einem Kohlenmonoxidmelder an der Wand.
book-caution-water = Eine Schätzung für einen gleichmäßigen Tag. In einem Befeuchter wachsen Keime, wenn er nicht nach Herstellerangabe geleert und gereinigt wird. Netzgeräte und Heizgeräte: örtliche Vorschriften und Fachbetrieb. Holzstaub und Lösemitteldampf von Heizgeräten fernhalten; eines ohne Abzug gibt Kohlenmonoxid ab.
book-outside-fit = Für solche Luft ist die Gleichung nicht gemacht: als Richtung nehmen, nicht als Zahl.
book-caution-estimate = Eine Schätzung für trockenes Holz unter Dach, nicht für frisches Holz oder Bauholz.

## Ein Fühler über einem Salz

salt-unheard = Vom Fühler war in letzter Zeit zu wenig zu hören. Stecker, Batterie und Netz ansehen.
salt-short = Beruhigt sich: { FIGURE($hours) } h über dem Salz, mindestens { $least_h } h.
salt-moving = Beruhigt sich: Noch ändert es sich um { FIGURE($slope_pct_per_h) } % Luftfeuchte je Stunde; unter { $most_pct_per_h } % gilt als ruhig.
salt-scattered = Beruhigt sich: Die Messwerte streuen um { FIGURE($scatter_pct) } % Luftfeuchte; unter { $most_pct } % gilt als ruhig.
salt-warming = Beruhigt sich: Das Glas schwankte in den letzten Stunden um { FIGURE($spread_c) } K; unter { $most_c } K gilt als ruhig. Vor Sonne und Zug schützen.
salt-saturated = Er sagt 100 % Luftfeuchte über { $salt }: Dort endet seine Skala, und wie weit er danebenliegt, ist nicht zu sagen. Ein trockeneres Salz nehmen oder den Fühler tauschen.
salt-outside = Für { $salt } bei { TEMPERATURE($temperature_c) } ist keine Luftfeuchte veröffentlicht. Das Glas auf Raumtemperatur bringen oder ein anderes Salz nehmen.
salt-steady = Ruhig: Er sagt { FIGURE($humidity_pct) } % Luftfeuchte, { $salt } macht bei { TEMPERATURE($temperature_c) } { FIGURE($expected_pct) } %. Die Probe jetzt abschließen.
salt-done = Er sagte { FIGURE($read_pct) } % Luftfeuchte, veröffentlicht sind { FIGURE($published_pct) } %; der Unterschied wird von jetzt an ausgeglichen, in der Nähe dieser Feuchte auf { FIGURE($uncertainty_pct) } % genau.
salt-done-between = Er sagte { FIGURE($read_pct) } % Luftfeuchte, zwischen den veröffentlichten Zeilen für { TEMPERATURE($low_c) } und { TEMPERATURE($high_c) } liegen { FIGURE($published_pct) } %; der Unterschied wird von jetzt an ausgeglichen, in der Nähe dieser Feuchte auf { FIGURE($uncertainty_pct) } % genau.
salt-done-two = Er sagte { FIGURE($read_pct) } % Luftfeuchte, veröffentlicht sind { FIGURE($published_pct) } %; mit der Probe davor liegt eine Gerade durch beide, dazwischen auf { FIGURE($uncertainty_pct) } % genau.
salt-done-two-between = Er sagte { FIGURE($read_pct) } % Luftfeuchte, zwischen den veröffentlichten Zeilen für { TEMPERATURE($low_c) } und { TEMPERATURE($high_c) } liegen { FIGURE($published_pct) } %; mit der Probe davor liegt eine Gerade durch beide, dazwischen auf { FIGURE($uncertainty_pct) } % genau.
salt-given-up = Abgebrochen; nichts wurde geändert.
salt-withdrawn = Zurückgenommen; ihre Korrektur zählt nicht mehr.

## Warum eine Regel nichts zu überwachen hat

not-watched-no-zone = nicht überwacht, weil noch keine Zone benannt ist
not-watched-no-air = nicht überwacht, weil von keiner Zone Luft bekannt ist
not-watched-short-record = nicht überwacht, weil die Aufzeichnung kürzer als fünf Stunden ist
not-watched-no-outlook = nicht überwacht, weil noch keine Zone einen Ausblick hat
not-watched-no-outdoors = nicht überwacht, weil keine Zone als Freies genannt ist
not-watched-no-extractor = nicht überwacht, weil keine Zeiten der Absaugung genannt sind und die Nächte keines Raums sagen, wie dicht er ist
not-watched-no-shelf = nicht überwacht, weil keine Zone und kein Fühler als Regal genannt ist
not-watched-no-iron = nicht überwacht, weil von keiner Zone gesagt ist, dass blankes Eisen darin steht
not-watched-no-week = nicht überwacht, weil keine Zone fast eine ganze Woche lang zu hören war
not-watched-no-pair = nicht überwacht, weil keine zwei Fühler einer Zone zwei Wochen lang zu hören waren
not-watched-no-check = nicht überwacht, weil noch kein Fühler über einem Salz geprüft wurde
not-watched-no-sensor = nicht überwacht, weil es noch keinen Fühler gibt
not-watched-no-source = nicht überwacht, weil es noch keine Leitung gibt
not-watched-no-remote = nicht überwacht, weil keine Gegenstelle eingerichtet ist

## Horchen, was noch nicht eingerichtet ist

listen-heard = { $lines ->
    [one] Eine Zeile kam, mit { NUMBER($baud, useGrouping: 0) } Baud.
   *[other] { $lines } Zeilen kamen, mit { NUMBER($baud, useGrouping: 0) } Baud.
}
listen-topics = Nachrichten: { $messages }, Themen: { $topics }.
listen-left-out = { $messages ->
    [one] Eine Nachricht zu einem weiteren Thema wurde
   *[other] { $messages } Nachrichten zu weiteren Themen wurden
} übergangen. Ein engerer Themenfilter hört weniger.
listen-silent = Es kam nichts. Ein Fühler, der einmal in der Minute spricht, braucht längeres Horchen.
listen-quiet-broker = Der Broker antwortet, aber es kam nichts. Ein Fühler, der einmal in der Minute spricht, braucht längeres Horchen.
listen-unreadable = { $bytes ->
    [one] Ein Byte kam, das
   *[other] { $bytes } Bytes kamen, die
} bei keiner versuchten Geschwindigkeit Text sind. Im Datenblatt nachsehen, was das Gerät spricht und wie schnell.
listen-no-format = Es kam Text, aber in keiner Form, die hier gelesen wird: Paare wie T=20.4 RH=41.2, Zahlen in Spalten, JSON.
listen-no-air = Es ist lesbar, aber keine Zahl darin sieht nach Temperatur oder Feuchte der Luft aus.
listen-nested-line = Es ist JSON mit Objekten im Inneren. Von einer seriellen Leitung wird nur ein flaches Objekt gelesen.
listen-refused = Es passt beinahe: { $reason }.
listen-bare-number = Eine Zahl, aber das Ende des Themas sagt nicht, wovon.
listen-no-payload = Weder JSON noch eine Zahl.
listen-held = { $source } liest diese Schnittstelle schon, darum wurde sie nicht noch einmal geöffnet.
listen-error = Hier war kein Horchen möglich: { $reason }.
listen-no-port = Es steckt keine serielle Schnittstelle.
listen-opens = Das Öffnen startet viele Platinen neu, darum geschieht es nur auf Wunsch; ihre ersten Sekunden können fehlen.
listen-modbus = Modbus-Geräte sprechen nur, wenn sie gefragt werden, darum ist hier keines zu hören. Eines nach seinem Datenblatt in die Einrichtung schreiben und sehen, ob es antwortet.
guess-read = Von { $heard } lassen sich { $read } so lesen.
guess-several-devices = Hier schreiben vielleicht mehrere Geräte: { $place } wechselt, und dieser Vorschlag liest es nicht. Erst ansehen, was zu hören war.
guess-announced = Unter { $prefix } melden sich Geräte an: { $devices ->
    [one] eines, das die Luft misst.
   *[other] { $devices }, die die Luft messen.
}
guess-temperature-unit = Die Temperatur steht bei { $place }, dahinter { $unit }.
guess-temperature-unit-column = Die Temperatur steht in Spalte { $place }, dahinter { $unit }.
guess-temperature-key = Die Temperatur steht bei { $place }, in { $unit }, wie der Name sagt.
guess-temperature-value = Die Temperatur steht bei { $place }, wohl in { $unit }: { $raw } sind dann { TEMPERATURE($temperature_c) }, was ein Raum haben kann.
guess-temperature-value-column = Die Temperatur steht wohl in Spalte { $place }, in { $unit }: { $raw } sind dann { TEMPERATURE($temperature_c) }, was ein Raum haben kann.
guess-humidity-unit = Die Feuchte steht bei { $place }, dahinter %.
guess-humidity-unit-column = Die Feuchte steht in Spalte { $place }, dahinter %.
guess-humidity-key = Die Feuchte steht bei { $place }, wie der Name sagt.
guess-humidity-value = Die Feuchte steht wohl bei { $place }: { $raw } sind dann { FIGURE($humidity_pct) } % Luftfeuchte, was ein Raum haben kann.
guess-humidity-value-column = Die Feuchte steht wohl in Spalte { $place }: { $raw } sind dann { FIGURE($humidity_pct) } % Luftfeuchte, was ein Raum haben kann.
