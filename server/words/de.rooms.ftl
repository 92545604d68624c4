# Was das Ziel eines Raums heute Nacht hält, auf Deutsch. Luft "zieht Holz auf" eine Zahl; diese Zahl heißt nie Feuchte des Holzes.

room-tonight = { $way ->
    [inside] Nichts zu tun: Nach dem Ausblick zieht die Luft dort Holz auf { FIGURE($low_pct) } bis { FIGURE($high_pct) } % (bis { $until }), im Ziel von { GIVEN($dry_limit_pct) } bis { GIVEN($damp_limit_pct) } %.
    [dry] Nach dem Ausblick zieht die Luft dort Holz womöglich auf { FIGURE($low_pct) } % (bis { $until }); das Ziel beginnt bei { GIVEN($dry_limit_pct) } %. Ausgehobeltes Holz einpacken oder tun, was folgt.
    [damp] Nach dem Ausblick zieht die Luft dort Holz womöglich auf { FIGURE($high_pct) } % (bis { $until }); das Ziel endet bei { GIVEN($damp_limit_pct) } %. Ausgehobeltes Holz einpacken oder tun, was folgt.
   *[both] Nach dem Ausblick kann die Luft dort Holz auf alles zwischen { FIGURE($low_pct) } und { FIGURE($high_pct) } % ziehen (bis { $until }), weiter als das Ziel von { GIVEN($dry_limit_pct) } bis { GIVEN($damp_limit_pct) } %. Ausgehobeltes Holz einpacken.
}
room-tonight-unknown = Für die Nacht gibt es noch keinen Ausblick: Von dieser Luft war zu wenig zu hören.

room-heat = { $way ->
    [dry-enough] Bis { TEMPERATURE($temperature_c) } hält diese Luft ohne Wasser { FIGURE($hold_pct) } %, { $lasts ->
        [morning] bis zum Morgen
       *[now] solange kein Dampf hinaus- oder hereinkommt
    }: Die { TEMPERATURE($indoor_c) } anderer Nächte genügen.
    [dry-set] { TEMPERATURE($temperature_c) } heute Nacht halten ohne Wasser { FIGURE($hold_pct) } %, { $lasts ->
        [morning] bis zum Morgen
       *[now] solange kein Dampf hinaus- oder hereinkommt
    }; bei den { TEMPERATURE($indoor_c) } anderer Nächte ist dieselbe Luft zu trocken.
    [damp-enough] Ab { TEMPERATURE($temperature_c) } bleibt diese Luft unter { FIGURE($hold_pct) } %, { $lasts ->
        [morning] bis zum Morgen
       *[now] solange kein Dampf hinaus- oder hereinkommt
    }: Die { TEMPERATURE($indoor_c) } anderer Nächte genügen.
   *[damp-set] { TEMPERATURE($temperature_c) } heute Nacht halten sie auf { FIGURE($hold_pct) } %, ohne Wasser herauszuholen, { $lasts ->
        [morning] bis zum Morgen
       *[now] solange kein Dampf hinaus- oder hereinkommt
    }; bei den { TEMPERATURE($indoor_c) } anderer Nächte ist dieselbe Luft zu feucht.
}
room-heat-spread = Für den Dampf, der jetzt da ist, liegt das in acht von zehn Fällen zwischen { TEMPERATURE($low_c) } und { TEMPERATURE($high_c) }; so weit können die Fühler danebenliegen.
room-heat-morning = Mit der Luft, die durch Ritzen kommt und geht, sind es bis zum Morgen { TEMPERATURE($temperature_c) }.
room-heat-too-dry = Ohne Wasser hält keine Temperatur ab { TEMPERATURE($temperature_c) } die { FIGURE($hold_pct) } %: Diese Luft ist zu trocken. Ausgehobeltes Holz einpacken.
room-heat-too-damp = Heizen allein bringt sie bis { TEMPERATURE($temperature_c) } nicht auf { FIGURE($hold_pct) } % herunter: Diese Luft ist zu feucht.
room-heat-any-damp = So warm es auch wird, bis { TEMPERATURE($temperature_c) } hält diese Luft ohne Wasser { FIGURE($hold_pct) } %.
room-heat-any-dry = So kühl es auch wird, hinunter bis { TEMPERATURE($temperature_c) } bleibt diese Luft unter { FIGURE($hold_pct) } %.
room-caution-heat = Leim und Oberflächenmittel brauchen die Wärme aus dem Merkblatt des Herstellers, auch beim Aushärten. Heizgeräte bei Staub oder Lösemitteldampf: Brandgefahr. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften; elektrische Anschlüsse macht der Fachbetrieb.

room-water-no-volume = Keine Liter, solange das Raumvolumen nicht genannt ist: volume_m3 dieser Zone.
room-water-no-outdoors = Keine Liter, solange draußen nichts misst: eine Zone mit outdoors = true, darin ein Fühler.
room-water-no-leakiness = Keine Liter, solange niemand weiß, wie undicht der Raum ist: Seine Nächte sagen es noch nicht, und air_changes_per_h ist nicht genannt.
room-water-none = In { GIVEN($hours_h) } h muss kein Wasser hinein oder heraus, um { GIVEN($volume_m3) } m³ auf { FIGURE($hold_pct) } % zu halten (bis { $until }){ $spread ->
    [some] , in einem von zehn Fällen bis zu { FIGURE($kg_high) } Liter
   *[none] {""}
}.
room-water-add = { FIGURE($kg) } Liter Wasser, zwischen { FIGURE($kg_low) } und { FIGURE($kg_high) }, über { GIVEN($hours_h) } h verteilt, halten { GIVEN($volume_m3) } m³ auf { FIGURE($hold_pct) } % (bis { $until }).
room-water-remove = { FIGURE($kg) } Liter Wasser, zwischen { FIGURE($kg_low) } und { FIGURE($kg_high) }, müssen über { GIVEN($hours_h) } h aus der Luft, um { GIVEN($volume_m3) } m³ auf { FIGURE($hold_pct) } % zu halten (bis { $until }).
room-water-fill = { FIGURE($kg) } Liter davon bringen Luft, Wände und die Haut des Holzes erst dorthin, einmalig.
room-water-buffer = Luft, Wände und die Haut des Holzes haben { FIGURE($kg) } Liter übrig, bevor sie dort sind: Das ist eingerechnet.
room-water-refused = Für { FIGURE($hold_pct) } % werden keine Liter genannt: Bei { TEMPERATURE($outdoor_c) } draußen { $glazing ->
    [none] ist die kälteste Ecke einer Außenwand ab { FIGURE($limit_pct) } % Luftfeuchte feucht genug für Schimmel
    [single] beschlagen einfache Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt
   *[double] beschlagen doppelte Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt
}. Bis zu { FIGURE($most_kg) } Liter bleiben darunter; die Luft zieht Holz dann auf { FIGURE($emc_pct) } %. { $cooler ->
    [yes] Den Raum kühler lassen oder das Holz einpacken.
   *[no] Das Holz einpacken.
}
room-water-ceiling = Nie mehr als { FIGURE($most_kg) } Liter: Bei { TEMPERATURE($outdoor_c) } draußen { $glazing ->
    [none] ist die kälteste Ecke einer Außenwand ab { FIGURE($limit_pct) } % Luftfeuchte feucht genug für Schimmel
    [single] beschlagen einfache Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt
   *[double] beschlagen doppelte Scheiben ab { FIGURE($limit_pct) } % Luftfeuchte, und Schimmel folgt
}. Solche Luft zieht Holz auf { FIGURE($emc_pct) } %.
room-water-already = Schon die Luft, die da ist, kommt heute Nacht über { FIGURE($limit_pct) } % Luftfeuchte, bei { TEMPERATURE($outdoor_c) } draußen: { $glazing ->
    [none] nachsehen hinter allem, was an Außenwänden steht
   *[other] die Scheiben abwischen und Holz von den Fenstern wegstellen
}.
room-water-glazing = Die Fenster gelten als einfach verglast, als die kältesten also, bis jemand sagt, was sie sind.

room-extractor = Jede Stunde Absaugung nach draußen { $way ->
    [in] bringt { FIGURE($kg) } Liter Wasser herein, zwischen { FIGURE($kg_low) } und { FIGURE($kg_high) }.
   *[out] holt { FIGURE($kg) } Liter Wasser aus dem Raum, zwischen { FIGURE($kg_low) } und { FIGURE($kg_high) }. Ausgeschaltet, solange kein Staub entsteht, holt sie keines.
}
room-extractor-off = Bleibt sie in den { GIVEN($hours_h) } h aus, die sie heute Nacht laufen soll, sind { FIGURE($kg) } Liter gespart.
room-extractor-no-outdoors = Was die Absaugung herausholt, ist nicht zu sagen, solange draußen nichts misst. Sie ist ein Luftwechsel für sich: aus, solange kein Staub entsteht.
room-extractor-no-flow = Wie viel Luft die Absaugung nach draußen bläst, ist nicht genannt: extractor_m3_per_h dieser Zone, wie auf dem Typenschild. Ausgeschaltet, solange kein Staub entsteht, holt sie nichts.

room-stock = Das Holz dort, { $lots ->
    [one] ein Posten
   *[other] { $lots } Posten
}, { $way ->
    [still] gibt und nimmt heute Nacht so gut wie nichts
    [gives] gibt in { GIVEN($hours_h) } h { FIGURE($kg) } Liter an die Luft ab
   *[takes] nimmt in { GIVEN($hours_h) } h { FIGURE($kg) } Liter aus der Luft auf
}{ $way ->
    [still] {""}
   *[other] , zwischen { FIGURE($kg_low) } und { FIGURE($kg_high) }
}, nach dem Modell.
room-stock-none = Dort liegt kein Holz, das das Modell führt.
room-stock-not-modelled = { $lots ->
    [one] Ein Posten dort ist nicht darin: Das Modell führt ihn nicht.
   *[other] { $lots } Posten dort sind nicht darin: Das Modell führt sie nicht.
}

room-leak = Nach den eigenen Nächten ersetzt Außenluft die Raumluft { NUMBER($per_h, maximumFractionDigits: 2) }-mal in der Stunde, in acht von zehn Fällen zwischen { NUMBER($low, maximumFractionDigits: 2) } und { NUMBER($high, maximumFractionDigits: 2) }-mal: gelernt aus { $nights } Nächten.
room-leak-skins = Wände und die Haut des Holzes halten { FIGURE($times) }-mal so viel Wasser wie die Luft und geben es zurück, wenn sie trocknet.
room-leak-no-outdoors = Wie undicht der Raum ist, lässt sich nicht lernen: Draußen misst nichts.
room-leak-few-nights = Wie undicht der Raum ist, ist noch nicht bekannt: { $nights ->
    [one] Eine Nacht ist
   *[other] { $nights } Nächte sind
} brauchbar, { $needed } genügen.
room-leak-nights-do-not-tell = Wie undicht der Raum ist, verraten seine { $nights } Nächte nicht: Er kühlt kaum ab, oder jemand befeuchtet oder trocknet seine Luft.
room-leak-not-yet = Wie undicht der Raum ist, wurde seit dem Start noch nicht berechnet: Es kommt gleich.
room-leak-told = Bis dahin gilt die Angabe: { NUMBER($per_h, maximumFractionDigits: 2) } Luftwechsel in der Stunde.

room-gas = Das Gas, das dort ohne Abzug brennt, { FIGURE($gas_kg) } kg heute Nacht, bringt { FIGURE($kg) } kg Wasser in die Luft und Kohlenmonoxid dazu.
room-caution-gas = Kohlenmonoxid tötet, ohne zu riechen: Ein solches Heizgerät gehört ins Freie oder an einen Abzug, nie dorthin, wo Menschen schlafen, und ein Kohlenmonoxidmelder an die Wand. Es gelten die Anleitung des Herstellers und die örtlichen Vorschriften; an Gasleitungen darf nur der Fachbetrieb.
