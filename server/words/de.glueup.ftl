# Was über eine Verleimung gesagt wird, Frage für Frage (server/advice/glue_up). Titel haben höchstens 24 Zeichen.
glue-ready-title = Bereit zum Verleimen
glue-wait-title = { $unit ->
        [h] Verleimen in { NUMBER($count, maximumFractionDigits: 0) } h
       *[days] Verleimen in { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
glue-unsure-title = Erst messen, dann leimen
glue-unheard-title = Der Raum ist stumm
glue-when = Verleimt werden kann in { book-count }.
glue-when-heated = Verleimt werden kann, sobald es hier warm genug bleibt: { $zone }. In den nächsten Tagen ist es das nicht von selbst.
glue-when-heated-by-then = Die Bretter sind so weit in { book-count }, wenn es bis dahin hier warm genug ist: { $zone }. In den nächsten Tagen ist es das nicht von selbst.
glue-when-season = Wie es jetzt steht, kann in dieser Saison nicht verleimt werden.
glue-when-boards = Im Ziel und innen ausgeglichen sind die Bretter in { book-count }.
glue-when-alike = Nahe genug beieinander sind sie in { book-count }.
glue-when-warm = Einzeln ausgelegt dauert das { book-count.lasting }.
glue-sooner-zone = Alle Bretter hierher und hier verleimen: { $zone }, in { book-count }.
glue-sooner-stickered = Alle Bretter auf Stapelleisten, beide Seiten an der Luft: in { book-count }.
glue-sooner-wrapped = Alle Bretter einpacken, wo sie liegen: in { book-count }.
glue-aim-asked = Haben die Bretter die Feuchte, die diese Platte braucht?
glue-aim-inside = Alle Bretter liegen im Ziel dieser Platte, { GIVEN($low_pct) } bis { GIVEN($high_pct) } %.
glue-aim-outside = { $name }: { FIGURE($mean_pct) } %, { $side ->
        [dry] unter
       *[damp] über
    } dem Ziel dieser Platte, { GIVEN($low_pct) } bis { GIVEN($high_pct) } %.
glue-aim-unsure = { $name }: vielleicht schon im Ziel und innen ausgeglichen, aber darauf ist zu wenig Verlass. Es sind zwischen { FIGURE($held_low_pct) } und { FIGURE($held_high_pct) } %: nachmessen.
glue-aim-not-here = { $names }: Diese Luft zieht Holz auf { FIGURE($target_pct) } %, außerhalb des Ziels von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %. In einen anderen Raum legen.
glue-aim-season = Nicht alle kommen binnen 60 Tagen ins Ziel und gleichen sich innen aus.
glue-aim-mean = Nach Breite gemittelt hat die Platte { FIGURE($mean_pct) } %, zwischen { FIGURE($mean_pct_low) } und { FIGURE($mean_pct_high) } %.
glue-aim-limit = Das Mittel jedes Bretts zwischen { GIVEN($low_pct) } und { GIVEN($high_pct) } %: Es zählt, wo die Platte einmal steht, nicht der Raum, in dem sie verleimt wird.
glue-even-asked = Sind die Bretter innen ausgeglichen?
glue-even-yes = Am wenigsten ausgeglichen: { $name }, außen und innen { FIGURE($apart_pct) } % auseinander.
glue-even-no = { $name }: außen und innen { FIGURE($apart_pct) } % auseinander. Jetzt verleimt, arbeitet die Platte von selbst weiter.
glue-even-season = Wie sie liegen, gleichen sie sich in 60 Tagen innen nicht aus.
glue-even-limit = Außen und innen höchstens { GIVEN($apart_pct) } % auseinander.
glue-alike-asked = Sind die Bretter gleich feucht?
glue-alike-one = Alle Bretter sind aus einem Posten, { $name }, von dem nur ein Mittel bekannt ist: bei verschiedener Herkunft zwei davon messen.
glue-alike-yes = { $wet } und { $dry }, das feuchteste und das trockenste, liegen { FIGURE($apart_pct) } % auseinander.
glue-alike-no = { $wet }: { FIGURE($apart_pct) } % feuchter als { $dry }. Die Fuge dazwischen gerät unter Spannung, und ein Absatz kann sichtbar werden.
glue-alike-season = Wie sie liegen, kommen sie einander in 60 Tagen nicht näher.
glue-alike-title = Bretter ungleich feucht
glue-alike-limit = Was zusammengeleimt wird, höchstens { GIVEN($most_pct) } % auseinander; eine Faustregel.
glue-range-asked = Verträgt der Leim solches Holz?
glue-range-in = { $known ->
        [yes] Für ihn sind die Bretter weder zu trocken noch zu feucht.
       *[no] Wie trocken oder feucht das Holz sein darf, war nicht zu finden: Es steht im Merkblatt des Herstellers.
    }
glue-range-out = { $names }: außerhalb dessen, was { $sure ->
        [yes] der Hersteller dieses Leims erlaubt
       *[no] seiner Leimart nachgesagt wird, und das ist keine feste Zahl
    }. Sein Merkblatt lesen oder einen Leim für solches Holz nehmen; die Bretter nicht seinetwegen aus ihrem Ziel trocknen oder befeuchten.
glue-range-title = Leim und Holz uneins
glue-range-limit = { $known ->
        [yes] Holz zwischen { GIVEN($low_pct) } und { GIVEN($high_pct) } %.
       *[no] Was das Merkblatt des Herstellers sagt.
    }
glue-fresh-asked = Sind die Flächen frisch?
glue-fresh-yes = Die Flächen sind höchstens { NUMBER($hours, maximumFractionDigits: 0) } h alt.
glue-fresh-stale = { $names }: Flächen bis zu { NUMBER($hours, maximumFractionDigits: 0) } h alt. Vor dem Leim die Kanten mit einem feinen Span frisch fügen.
glue-fresh-never = { $names }: Hobeln oder Fügen ist nicht aufgeschrieben. Kanten fügen und am selben Tag verleimen.
glue-fresh-title = Kanten frisch fügen
glue-fresh-limit = Vor höchstens { GIVEN($hours) } h gehobelt oder gefügt, dichte und ölige Hölzer am selben Tag.
glue-warm-asked = Sind Holz, Leim und Raum warm genug?
glue-warm-yes = Holz, Leim und Raum sind warm genug.
glue-warm-now = { $what ->
        [wood] Die kältesten Bretter, { $name }, haben
        [glue] Der Leim hat
       *[air] Die Luft hat
    } { TEMPERATURE($temperature_c) }, zwischen { TEMPERATURE($low_c) } und { TEMPERATURE($high_c) }.
glue-warm-unknown = Für { $family } war keine Mindesttemperatur zu finden: Sie steht im Merkblatt des Herstellers. Dort ablesen und eintippen.
glue-warm-unsure = { $why ->
        [make] Ob es warm genug ist, hängt vom Fabrikat ab: Manche binden ab { TEMPERATURE($lowest_c) } ab, andere nicht unter { TEMPERATURE($sure_c) }. Das Merkblatt lesen.
       *[sure] Es liegt nahe an den { TEMPERATURE($sure_c) }, die dieser Leim braucht, und das ist nicht sicher: die Hand oder ein Thermometer auflegen.
    }
glue-warm-unsure-title = Ist es warm genug?
glue-sheet-title = Leim-Merkblatt lesen
glue-warm-heat = { $zone }: vor dem Verleimen auf mindestens { TEMPERATURE($temperature_c) } heizen und warm halten ({ $names }). Eine kälter gepresste Fuge kann schwach sein.
glue-warm-bring = { $what ->
        [wood] { $names } ins Warme bringen ({ $zone }) und warten, bis das Holz selbst { TEMPERATURE($temperature_c) } hat: Eine kalt gepresste Fuge ist schwach.
       *[glue] Den Leim ins Warme bringen ({ $zone }) und vor dem Verleimen warten, bis er { TEMPERATURE($temperature_c) } hat: { $names }.
    }
glue-warm-title = { $what ->
        [wood] Erst das Holz wärmen
        [glue] Erst den Leim wärmen
       *[air] Erst den Raum heizen
    }
glue-warm-limit = { $kind ->
        [none] Für { $family } war keine Zahl zu finden: Sie steht im Merkblatt des Herstellers.
        [one] Holz, Leim und Luft mit { TEMPERATURE($sure_c) } oder mehr.
        [gels] Holz und Luft mit { TEMPERATURE($sure_c) } oder mehr, bis die Zwingen sitzen: In der Kälte geliert er vorher.
       *[two] Holz, Leim und Luft mit { TEMPERATURE($sure_c) } oder mehr; unter { TEMPERATURE($lowest_c) } bindet kein Fabrikat ab ({ $family }).
    }
glue-unheard = { $zone }: Von der Luft dort war lange nichts zu hören. Vor dem Verleimen ein Thermometer aufhängen.
glue-air-asked = Hält die Luft { GIVEN($clamp_h) } h in den Zwingen durch?
glue-air-holds = Die Luft bleibt warm und trocken genug.
glue-air-runs = { $zone }: Währenddessen fällt die Luft auf { TEMPERATURE($coldest_c) }, äußerstenfalls auf { TEMPERATURE($low_c) }; ihr Taupunkt steigt bis { TEMPERATURE($dew_point_c) }, und worauf sie Holz zieht, ändert sich um { FIGURE($change_pct) } %.
glue-air-cold = { $zone }: mit { $names } in den Zwingen mindestens { TEMPERATURE($temperature_c) } halten. Zu kalt zum Abbinden würde es ab etwa { $at }.
glue-air-maybe = { $zone }: In den Zwingen kann es zu kalt werden, ab etwa { $at }. Mit { $names } darin mindestens { TEMPERATURE($temperature_c) } halten.
glue-air-cold-title = In den Zwingen zu kalt
glue-air-maybe-title = Den Raum warm halten
glue-air-sweats = { $name }: Das Holz hat { TEMPERATURE($wood_c) }, der Taupunkt der Luft liegt bei { TEMPERATURE($dew_point_c) }. Auf so kaltem Holz schlägt sich Wasser nieder. Eingepackt lassen, bis es warm ist.
glue-air-sweats-title = Das Holz würde schwitzen
glue-air-longer = Bei { TEMPERATURE($temperature_c) } { $sure ->
        [yes] braucht dieser Leim nach Angabe { FIGURE($needed_h) } h in den Zwingen: { GIVEN($clamp_h) } h sind zu kurz
       *[no] brauchen manche Leime dieser Art bis zu { FIGURE($needed_h) } h in den Zwingen: so lange sitzen lassen oder das Merkblatt lesen
    }.
glue-air-longer-title = Länger in den Zwingen
glue-air-limit = { $known ->
        [yes] Die ganze Zeit mindestens { TEMPERATURE($sure_c) } in der Luft, und das Holz { GIVEN($sweats_k) } K über ihrem Taupunkt.
        [gels] Er bindet beim Abkühlen ab; das Holz { GIVEN($sweats_k) } K über dem Taupunkt.
       *[no] Was das Merkblatt des Herstellers sagt; das Holz { GIVEN($sweats_k) } K über dem Taupunkt.
    }
glue-year-asked = Was macht ihre Breite übers Jahr?
glue-year = { GIVEN($width_mm) } mm breit verleimt, arbeitet die Platte dort übers Jahr { MM($swing_mm) } mm, in acht von zehn Fällen zwischen { MM($swing_mm_low) } und { MM($swing_mm_high) } mm: am schmalsten um den { $narrowest }, am breitesten um den { $widest }.
glue-year-room = Von jetzt an schwindet sie um bis zu { MM($shrinks_mm) } mm und quillt um bis zu { MM($swells_mm) } mm: neben den Kanten insgesamt { MM($clearance_mm) } mm Spiel lassen und, wo die Mitte fest ist, an den Kanten Langlöcher von { MM($slot_mm) } mm für eine { GIVEN($screw_mm) }-mm-Schraube.
glue-year-of = { $of ->
    [record] Die Luft ist die aus der eigenen Aufzeichnung des Hauses; sie zieht Holz im Lauf eines Jahres auf { FIGURE($low_pct) } bis { FIGURE($high_pct) } %.
    [numbers] Angenommen ist, dass die Luft einmal im Jahr den ganzen Weg zwischen den beiden angegebenen Zahlen geht, von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %.
    [short] Für diesen Raum ist noch kein Jahr aufgezeichnet: Angenommen ist, dass die Luft einmal im Jahr durch das ganze Ziel geht, von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %. Das Haus selbst kann weniger schwanken oder mehr.
   *[aim] Das eigene Jahr des Hauses kennt niemand: Angenommen ist, dass die Luft einmal im Jahr durch das ganze Ziel geht, von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %. Es kann weniger schwanken oder mehr.
}
glue-year-unknown = { $why ->
        [wood] Für dieses Holz ist keine Bewegung veröffentlicht: so viel Spiel lassen, wie andere Stücke davon gebraucht haben.
       *[year] Für eine so dicke Platte fand sich kein Jahr, das dem vorigen gleicht: Es gibt keine Zahl.
    }
glue-year-limit = Luft, die Holz in der trockensten Zeit auf { GIVEN($low_pct) } % und in der feuchtesten auf { GIVEN($high_pct) } % zieht.
glue-rings-asked = Wie herum die Jahresringe?
glue-rings-least = Am wenigsten hohl: { $way ->
        [alternating] rechte Seiten abwechselnd oben und unten
        [heart-up] alle rechten Seiten oben
       *[heart-down] alle rechten Seiten unten
    }, schlimmstenfalls { MM($worst_mm) } mm uneben.
glue-rings-same = Es macht keinen Unterschied: so oder so schlimmstenfalls { MM($worst_mm) } mm uneben. Die Bretter nach dem Bild legen.
glue-rings-waves = Abwechselnd gelegt steht ein Streifen { MM($wave_mm) } mm neben dem nächsten vor, einer hoch, einer tief: eine Welle, die eine polierte Fläche zeigt.
glue-rings-way = { $way ->
        [alternating] Abwechselnd
        [heart-up] Rechte Seiten oben
       *[heart-down] Rechte Seiten unten
    }: { $dry_face ->
        [flat] am trockensten eben
        [top] am trockensten oben { MM($dry_mm) } mm hohl
       *[bottom] am trockensten unten { MM($dry_mm) } mm hohl
    }, { $damp_face ->
        [flat] am feuchtesten eben
        [top] am feuchtesten oben { MM($damp_mm) } mm hohl
       *[bottom] am feuchtesten unten { MM($damp_mm) } mm hohl
    }, auf { GIVEN($width_mm) } mm.
glue-room-asked = Wie weit liegt dieser Raum von den Brettern weg?
glue-room-near = { $zone }: Die Luft zieht Holz auf { FIGURE($emc_pct) } %, nahe an dem, was die Bretter haben.
glue-room-far = { $zone }: Die Luft zieht Holz auf { FIGURE($emc_pct) } %, { FIGURE($apart_pct) } % { $side ->
        [dry] unter
       *[damp] über
    } dem, was die Bretter haben. Für den Ort, an den die Platte kommt, sind sie richtig: nicht warten, bis sie diesem Raum folgen.
glue-room-apart = { $zone }: Die Luft zieht Holz auf { FIGURE($emc_pct) } %, { FIGURE($apart_pct) } % { $side ->
        [dry] unter
       *[damp] über
    } dem, was die Bretter haben.
glue-room-caution = Die Bretter bis zum Verleimen eingepackt lassen und danach die Platte einpacken: Offene Seiten würden { $side ->
        [dry] hohl, weil sie trocknen
       *[damp] rund, weil sie Wasser aufnehmen
    }.
glue-room-limit = Innerhalb von { GIVEN($near_pct) } % lässt eine Verleimung sie, wie sie sind.
