# Was über einen Posten gesagt wird, Frage für Frage (server/advice). Titel haben höchstens 24 Zeichen.
lot-nothing-held-title = { $why ->
        [not-yet] Noch nichts berechnet
        [sheet-goods] Feuchte nicht verfolgt
       *[no-specific-gravity] Raumdichte fehlt
    }
lot-nothing-held = { $why ->
        [not-yet] Die erste halbe Stunde ist noch nicht um.
        [sheet-goods] Plattenwerkstoff: Seine Feuchte wird nicht verfolgt; flach lagern und in der Luft, in der er einmal steht.
       *[no-specific-gravity] Für dieses Holz ist keine Raumdichte veröffentlicht; wird eine angegeben, wird seine Feuchte verfolgt.
    }
lot-not-worked-out-title = Nicht berechnet
lot-not-worked-out = Das Urteil ließ sich nicht berechnen: ein Fehler dieses Programms, der in seinem Zustandsbericht steht. Was vorher über diesen Posten gesagt wurde, gilt nicht mehr.
lot-moves-asked = Wie viel arbeitet es noch?
lot-moves-shrinks = Es schwindet noch um { MM($left_mm) } mm auf { GIVEN($width_mm) } mm, höchstens { MM($most_mm) } mm{ $sure ->
        [yes] .
       *[no] ; oder es quillt, höchstens um { MM($other_mm) } mm.
    }
lot-moves-swells = Es quillt noch um { MM($left_mm) } mm auf { GIVEN($width_mm) } mm, höchstens { MM($most_mm) } mm{ $sure ->
        [yes] .
       *[no] ; oder es schwindet, höchstens um { MM($other_mm) } mm.
    }
lot-moves-settled = { $sure ->
        [yes] In dieser Luft ist es zur Ruhe gekommen.
       *[no] In dieser Luft ist es wohl zur Ruhe gekommen, aber sicher ist das nicht.
    }
lot-moves-days = Zur Ruhe kommt es in { book-count }.
lot-moves-not-this-season = In dieser Saison kommt es nicht zur Ruhe.
lot-moves-target = Im Mittel hat es { FIGURE($mean_pct) } % Holzfeuchte, und diese Luft zieht es auf { FIGURE($target_pct) } %.
lot-moves-limit = Zur Ruhe gekommen heißt: außen und innen höchstens ein halbes Prozent neben dem, worauf die Luft es zieht.
lot-mill-asked = Wann ist es hobelreif?
lot-mill-now-title = Hobelreif
lot-mill-now = { $measured ->
        [yes] Es ist jetzt hobelreif.
       *[no] Nach seiner Luft allein ist es jetzt hobelreif, gemessen hat niemand: vor dem ersten Schnitt messen.
    }
lot-mill-wait-title = { $unit ->
        [h] Hobelreif in { NUMBER($count, maximumFractionDigits: 0) } h
       *[days] Hobelreif in { NUMBER($count, maximumFractionDigits: 0) } { book-unit }
    }
lot-mill-wait = Hobelreif in { book-count }.
lot-mill-season-title = Nicht in dieser Saison
lot-mill-season = Binnen 60 Tagen wird es nicht hobelreif: { $why ->
        [apart] Außen und innen bleiben mehr als 1 % auseinander
        [aim] Das Mittel bleibt außerhalb des Ziels
       *[both] Außen und innen bleiben mehr als 1 % auseinander, und das Mittel bleibt außerhalb des Ziels
    }. { $lying ->
        [stickered] Liegen lassen; dünnere Stücke sind eher so weit.
       *[other] Auf Stapelleisten sind beide Seiten eher so weit.
    }
lot-mill-not-here-title = Nicht in dieser Luft
lot-mill-not-here = Diese Luft zieht es auf { FIGURE($target_pct) } %, außerhalb seines Ziels von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %: in einen anderen Raum legen oder einpacken.
lot-mill-unsure-title = Nachmessen
lot-mill-unsure = Vielleicht ist es schon hobelreif, aber darauf ist zu wenig Verlass: Vielleicht ist es das { $unit ->
        [late] erst nach dieser Saison
       *[other] auch erst { book-after }
    }. Nachmessen.
lot-mill-until = So bleibt es: { book-count.lasting }.
lot-mill-passes = Vorbei ist das in { book-count }: Dann { $why ->
        [aim] verlässt das Mittel sein Ziel
       *[apart] eilt es außen dem Inneren um mehr als 1 % voraus
    }.
lot-mill-again = Wieder so ist es in { book-count }.
lot-mill-held = { $name }: außen { FIGURE($shell_pct) } %, innen { FIGURE($core_pct) } %, im Mittel { FIGURE($mean_pct) } %.
lot-mill-limit = Außen und innen höchstens 1 % auseinander, und das Mittel zwischen { GIVEN($low_pct) } und { GIVEN($high_pct) } %.
lot-air-beyond = { $basis ->
        [season] Ab { $at } ist die Luft aus der eigenen Aufzeichnung dieses Raums genommen, { $days } Tage lang: wie diese Wochen im Jahr waren und wie weit das danebenliegen kann.
       *[week] Ab { $at } gilt die Luft der letzten Woche als bleibend, und das kann weit danebenliegen: Für diesen Raum ist noch kein Jahr aufgezeichnet.
    }
lot-caution-mill = Eine Schätzung für trockenes Holz. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage abrichten oder hobeln. Die Anleitung der Maschine geht vor. Staub: Absaugung und Maske.
lot-flat-limit = Eben auf { GIVEN($flat_mm) } mm über { GIVEN($width_mm) } mm, wie eine Leimfuge es verlangt.
lot-faces-asked = Gleich oder ungleich abnehmen, wie viel Übermaß zuerst, wie lange ruhen?
lot-faces-plan = { $name }, { $usual ->
        [yes] wie üblich gehobelt
       *[no] wie geplant
    }: oben { MM($top_mm) } mm und unten { MM($bottom_mm) } mm ab, am Ende { FIGURE($final_mm) } mm, danach { $lying ->
        [stickered] auf Stapelleisten
        [wrapped] eingepackt
        [one-face] flach auf der Bank
        [dead-stacked] Brett auf Brett
       *[on-edge] hochkant
    }.
lot-faces-cup = Es wird { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, { $when ->
        [at-once] gleich nach dem Hobeln
       *[later] { $unit ->
            [late] auf lange Sicht
           *[other] { book-after }
        }
    }, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl; höchstens { MM($most_mm) } mm.
lot-faces-flat = Auf { GIVEN($width_mm) } mm bleibt es eben, soweit es an der Luft liegt, auf { WITHIN($most_mm) } mm genau.
lot-faces-rings = { $side ->
        [bark] Darin sind die Jahresringe, die es um { MM($ring_mm) } mm krümmen, wenn alles trocknet: Die linke Seite (zur Rinde), hier die { $face ->
            [top] Oberseite
           *[bottom] Unterseite
        }, wird hohl.
        [pith] Darin sind die Jahresringe, die es um { MM($ring_mm) } mm krümmen, wenn alles Wasser aufnimmt: Die rechte Seite (zum Mark), hier die { $face ->
            [top] Oberseite
           *[bottom] Unterseite
        }, wird hohl.
       *[either] Folgt alles der Luft, krümmen es die Jahresringe um { MM($ring_mm) } mm, auf die eine oder die andere Seite: Niemand hat gesagt, welche Seite zur Rinde zeigt. Das Hirnholz ansehen.
    }
lot-faces-one = Alles nur oben abgenommen: schlimmstenfalls { MM($top_mm) } mm uneben; alles nur unten: { MM($bottom_mm) } mm.
lot-faces-enough = So gemacht, ist es eben genug, auf { GIVEN($flat_mm) } mm: Es darf in einem Zug auf Maß.
lot-faces-extra = So gemacht, zuerst { MM($extra_mm) } mm Übermaß lassen{ $most ->
        [same] {""}
        [more] , sicherheitshalber { MM($most_mm) } mm
       *[none] , sicherheitshalber mehr, als da ist
    }, zusammen { FIGURE($first_mm) } mm; den Rest gleichmäßig abnehmen in { book-count }.
lot-faces-extra-late = So gemacht, zuerst { MM($extra_mm) } mm Übermaß lassen{ $most ->
        [same] {""}
        [more] , sicherheitshalber { MM($most_mm) } mm
       *[none] , sicherheitshalber mehr, als da ist
    }, zusammen { FIGURE($first_mm) } mm; für den letzten Durchgang ist es in dieser Saison innen nicht ausgeglichen genug.
lot-faces-pinch = Bei der Gabelprobe gingen die Zinken zusammen: von beiden Seiten gleich viel abnehmen und zwischen erstem und letztem Durchgang ruhen lassen.
lot-faces-fork = Keine Gabelprobe aufgeschrieben: vor einseitigem Hobeln eine schneiden, und gehen die Zinken zusammen, beidseitig gleich abnehmen.
lot-faces-twist = Es kam windschief, und das kehrt gern zurück: { MM($twist_mm) } mm sind dafür gelassen. Nach dem Ruhen noch einmal abrichten.
lot-faces-checks = An den Flächen wurden Risse gesehen: Sie können tiefer gehen als diese Schnitte. Ein Stück zurückschneiden und nachsehen.
lot-stop-asked = Was, wenn die Arbeit jetzt { GIVEN($away_hours) } h ruht?
lot-stop-cup = { $name }: { $lying ->
        [stickered] auf Stapelleisten bis dahin
        [wrapped] eingepackt bis dahin
        [one-face] flach auf der Bank bis dahin
        [dead-stacked] Brett auf Brett ist das äußerste bis dahin
       *[on-edge] hochkant bis dahin
    } { MM($cup_mm) } mm uneben auf { GIVEN($width_mm) } mm, die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl; höchstens { MM($most_mm) } mm.
lot-stop-flat = { $name }: { $lying ->
        [stickered] auf Stapelleisten bleibt es
        [wrapped] eingepackt bleibt es
        [one-face] flach auf der Bank bleibt es
        [dead-stacked] Brett auf Brett bleibt das äußerste
       *[on-edge] hochkant bleibt es
    } eben auf { GIVEN($width_mm) } mm, auf { WITHIN($most_mm) } mm genau.
lot-stop-open = So darf es liegen, bis es { GIVEN($tolerance_mm) } mm uneben ist: { book-count.lasting }.
lot-stop-open-season = { $sure ->
        [yes] So darf es die ganze Saison liegen.
       *[no] Es bleibt wohl die ganze Saison eben genug, aber sicher ist das nicht.
    }
lot-stop-past = Es ist schon mehr als { GIVEN($tolerance_mm) } mm uneben.
lot-stop-advice = { $advice ->
        [leave] So liegen lassen.
        [stickered] Vor dem Gehen auf Stapelleisten legen: { MM($cup_mm) } mm, höchstens { MM($most_mm) } mm.
       *[wrapped] Vor dem Gehen einpacken: { MM($cup_mm) } mm, höchstens { MM($most_mm) } mm.
    }
lot-stop-best = Sicher hält es auf keine Weise so; am besten { $advice ->
        [leave] liegen lassen, wie es liegt
        [stickered] auf Stapelleisten legen
       *[wrapped] einpacken
    }: { MM($cup_mm) } mm, höchstens { MM($most_mm) } mm.
lot-stop-compare = Uneben bis dahin: auf Stapelleisten { MM($stickered_mm) } mm, eingepackt { MM($wrapped_mm) } mm, flach auf der Bank { MM($bench_mm) } mm; Brett auf Brett das äußerste { MM($bench_mm) } mm, die anderen { MM($inner_mm) } mm.
lot-stop-moves = Wie es liegt, { $way ->
        [shrinks] schwindet
       *[swells] quillt
    } es inzwischen um { MM($move_mm) } mm, und außen und innen liegen dann { FIGURE($apart_pct) } % auseinander.
lot-stop-limit = Eben auf { GIVEN($tolerance_mm) } mm über { GIVEN($width_mm) } mm; ist es gehobelt, außen und innen höchstens { GIVEN($apart_limit_pct) } % auseinander.
lot-stop-act-title = { $advice ->
        [stickered] Heute auf Leisten legen
       *[wrapped] Heute einpacken
    }
lot-stop-look-title = { $advice ->
        [stickered] Besser auf Leisten
       *[wrapped] Besser einpacken
    }
lot-caution-stop = Eine Schätzung für trockenes Holz. Nur trockenes Holz einpacken: Feuchtes schimmelt unter Folie. Folie und Stapelleisten von Heizgeräten fernhalten. Vor dem Gehen: Maschinen aus und gegen Einschalten gesichert, Staub und Öllappen aus der Werkstatt. Die Anleitung der Maschine geht vor.
lot-reading-said = { $kind ->
        [pins] Die Messspitzen sagen { FIGURE($read) } %, erwartet waren { FIGURE($expected) } %
        [dielectric] Das kapazitive Messgerät sagt { FIGURE($read) } %, erwartet waren { FIGURE($expected) } %
        [wrap] Der Fühler in der Folie sagt { FIGURE($read) } % für die Flächen, erwartet waren { FIGURE($expected) } %
        [scale] Das Probebrett wiegt { NUMBER($read, minimumFractionDigits: 3, maximumFractionDigits: 3) } kg, erwartet waren { NUMBER($expected, minimumFractionDigits: 3, maximumFractionDigits: 3) } kg
       *[straightedge] Das Richtscheit sagt { MM($read) } mm, erwartet waren { MM($expected) } mm; plus heißt oben hohl
    }
lot-reading-used = { lot-reading-said }: Das Mittel geht von { FIGURE($before_pct) } auf { FIGURE($after_pct) } %, vorher auf ± { FIGURE($sure_before_pct) }, jetzt auf ± { FIGURE($sure_after_pct) } genau.
lot-reading-second-alike = { lot-reading-said }, ganz wie beim vorigen Mal: Beiden wird geglaubt, und das Mittel geht von { FIGURE($before_pct) } auf { FIGURE($after_pct) } %, vorher auf ± { FIGURE($sure_before_pct) }, jetzt auf ± { FIGURE($sure_after_pct) } genau.
lot-reading-absurd = { lot-reading-said }: zu weit daneben, um es allein zu glauben. Noch einmal messen; einer zweiten solchen Messung wird geglaubt.
lot-reading-shape-anew = { lot-reading-said }: Keine Feuchte erklärt das. Daraus ist nichts zu lernen, und die Form zählt von hier an neu.
lot-reading-bound = { $reason ->
        [seven-or-less] Dort sagen Messspitzen nicht mehr als „7 % oder weniger“
        [beyond-what-pins-tell] Das liegt über dem, was Messspitzen sagen können
        [below-what-it-tells] Das liegt unter dem, was ein kapazitives Messgerät sagen kann
       *[beyond-what-it-tells] Das liegt über dem, was ein kapazitives Messgerät sagen kann
    }: Es verschiebt nichts, und das Mittel bleibt, vorher auf ± { FIGURE($sure_before_pct) } %, jetzt auf ± { FIGURE($sure_after_pct) } % genau.
lot-reading-first = { $kind ->
        [scale] Das erste Wiegen dieser Stücke: Spätere werden damit verglichen.
       *[straightedge] Das erste Richtscheit an dieser Form: Spätere zählen von hier an.
    }
lot-reading-not-steady = Der Fühler in der Folie wurde wärmer oder kälter, darum sagt er noch nichts über das Holz.
lot-resaw-asked = Auftrennen oder dick lassen?
lot-resaw-condition = Noch nicht: Bei der Gabelprobe gehen die Zinken { $prongs ->
        [pinch] zusammen
       *[open] auseinander
    }, also würden sich beide Hälften gleich nach dem Schnitt krümmen und vielleicht das Blatt klemmen. Erst ruhen lassen oder die Spannung abbauen, dann eine neue Gabelprobe schneiden.
lot-resaw-too-thin = Jetzt nicht: Schlimmstenfalls steckt in einer Hälfte nur ein ebenes Stück von { MM($flat_mm) } mm, gebraucht werden { GIVEN($need_mm) } mm. Erst innen ausgleichen lassen oder dickeres Holz nehmen.
lot-resaw-even = Ganz ist es schon hobelreif: nur auftrennen, wo das Werkstück dünnere Stücke will, und die Hälften ruhen lassen.
lot-resaw-sooner = Wo das Werkstück mit halber Dicke auskommt, auftrennen: Die Hälften sind eher hobelreif als das Ganze.
lot-resaw-no-gain = Dick lassen: Aufgetrennt ist es nicht eher hobelreif.
lot-resaw-good = { $which ->
        [whole] Ganz, wie es liegt, ist es hobelreif
       *[halves] Die Hälften sind hobelreif
    } in { book-count }.
lot-resaw-late = { $which ->
        [whole] Ganz, wie es liegt, wird es
       *[halves] Die Hälften werden
    } in dieser Saison nicht hobelreif.
lot-resaw-flat = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { FIGURE($thickness_mm) } mm dick, bleibt auf { GIVEN($width_mm) } mm eben, soweit es an der Luft liegt, auf { WITHIN($most_mm) } mm genau.
lot-resaw-half = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { FIGURE($thickness_mm) } mm dick, wird { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, höchstens { MM($most_mm) } mm, die { $face ->
        [sawn] Schnittseite
       *[outer] Außenseite
    } hohl, { book-after }: Darin steckt ein ebenes Stück von { FIGURE($flat_mm) } mm, mindestens { FIGURE($flat_least_mm) } mm.
lot-resaw-at-once = { $half ->
        [top] Die obere Hälfte
        [bottom] Die untere Hälfte
       *[each] Jede Hälfte
    }, { FIGURE($thickness_mm) } mm dick, ist gleich nach dem Schnitt { MM($peak_mm) } mm uneben auf { GIVEN($width_mm) } mm, höchstens { MM($most_mm) } mm, die { $face ->
        [sawn] Schnittseite
       *[outer] Außenseite
    } hohl, und wird beim Angleichen nicht schlimmer: Darin steckt ein ebenes Stück von { FIGURE($flat_mm) } mm, mindestens { FIGURE($flat_least_mm) } mm.
lot-resaw-rest = { $lying ->
        [wrapped] Eingepackt
       *[stickers] Auf Stapelleisten
    } bleiben die Hälften außen und innen weniger als 1 % auseinander in { book-count }: so lange ruhen lassen, dann hobeln.
lot-resaw-fork = Keine Gabelprobe genannt: erst eine schneiden, und gehen ihre Zinken zusammen oder auseinander, das Brett ganz lassen.
lot-resaw-limit = Hobelreif heißt: außen und innen höchstens 1 % auseinander, und das Mittel im Ziel.
lot-rip-asked = Wie breit muss der Streifen geschnitten werden?
lot-rip-make = Erst einen Probestreifen: einen Streifen längs schneiden, so breit wie gebraucht und in der Schnittlinie astfrei, ans Richtscheit legen, Krümmung und Länge aufschreiben.
lot-rip-crook = Nach den Probestreifen wird ein Längsschnitt von { GIVEN($length_mm) } mm um { MM($crook_mm) } mm krumm, nach dem schlimmsten gerechnet; der nächste um { MM($low_mm) } bis { MM($high_mm) } mm.
lot-rip-leave = Streifen { GIVEN($oversize_mm) } mm breiter schneiden, als sie am Ende sind: je Kante ein Durchgang und die doppelte Krümmung, denn der zweite Schnitt löst noch mehr. Vor dem letzten Schnitt liegen lassen.
lot-rip-released = Die letzten drei Streifen waren auf einen halben Millimeter gerade: { GIVEN($oversize_mm) } mm Übermaß lassen, ein Durchgang je Kante.
lot-rip-beyond = Auf { GIVEN($length_mm) } mm würde ein Streifen zu krumm, um zu taugen: die Stücke zuerst kürzen. Halb so lang wird er nur ein Viertel so krumm.
lot-rip-knot = { $count ->
        [one] Ein Probestreifen hatte
       *[other] { $count } Probestreifen hatten
    } einen Ast in der Schnittlinie, das macht die Probe wertlos. Einen Streifen, der durch einen Ast ging, ruhen lassen und zur Probe einen astfreien schneiden.
lot-rip-width = Der letzte Probestreifen war { GIVEN($test_width_mm) } mm breit: Einer von { GIVEN($width_mm) } mm sagt mehr, denn die Krümmung hängt von der Breite ab.
lot-back-asked = Wann kann geliefert werden, und was muss bis wann geschehen sein?
lot-back-late-title = Zu spät für den Termin
lot-back-late = Was daraus wird, kann bis { $at } nicht fertig sein.
lot-back-needs = Den Liefertermin nennen, dann wird von dort zurückgerechnet.
lot-back-earliest = Von heute gerechnet ist die früheste Lieferung am { $at }{ $spread ->
        [open] , und geht alles langsam, weiß niemand, wie spät
        [day] {""}
        [late] , spätestens am { $high }
       *[closed] , zwischen { $low } und { $high }
    }: erster Durchgang { $mill }, letzter Durchgang und Verleimen { $glue }.
lot-back-never = So weit vorauszusehen ist, wird es in dieser Luft nicht hobelreif: Es gibt keinen Tag, von dem zu rechnen wäre.
lot-back-plan = Für den { $at }: Solches Holz muss bis { $bring_in } da sein, erster Durchgang { $mill }, letzter Durchgang und Verleimen { $glue }, jeweils spätestens.
lot-back-tight = { $spread ->
        [open] Geht es langsam, weiß niemand, wann es so weit ist
       *[closed] Geht es langsam, ist die früheste Lieferung am { $high }
    }: vor dem Hobeln messen.
lot-back-sooner-stickered = Auf Stapelleisten, beide Seiten an der Luft: { $met ->
        [yes] Lieferung am { $at }, rechtzeitig.
       *[no] Lieferung am { $at }.
    }
lot-back-sooner-resawn = Aufgetrennt und auf Stapelleisten, wo das Werkstück es erlaubt: { $met ->
        [yes] Lieferung am { $at }, rechtzeitig.
       *[no] Lieferung am { $at }.
    }
lot-back-sooner-zone = { $zone }, liegend wie jetzt: { $met ->
        [yes] Lieferung am { $at }, rechtzeitig.
       *[no] Lieferung am { $at }.
    }
lot-back-risk = Jeder Tag, um den zu früh gehobelt wird, lässt auf { GIVEN($width_mm) } mm noch { FINE($day_mm) } mm Bewegung übrig, höchstens { FINE($most_mm) } mm; heute gehobelt insgesamt { FINE($now_mm) } mm, höchstens { FINE($now_most_mm) } mm.
lot-back-no-risk = Es ist hobelreif: Heute zu hobeln bringt nichts in Gefahr.
lot-back-counted = Gerechnet mit { GIVEN($rest_days) } { $rest_days ->
        [one] Tag
       *[other] Tagen
    } Ruhe zwischen den Durchgängen, { GIVEN($cure_days) } in Zwingen und zum Aushärten, { GIVEN($assemble_days) } für den Zusammenbau, { GIVEN($finish_days) } für die Oberfläche.
lot-caution-back = Leim und Oberfläche: Die Merkblätter der Hersteller gehen vor, auch bei ihren Tagen; Handschuhe, frische Luft, keine Flamme und kein Heizgerät bei Lösemitteldampf. Öllappen erhitzen sich von selbst: flach ausbreiten oder unter Wasser legen. Ein Termin ist kein Grund, schüsseliges oder windschiefes Holz ohne sichere Auflage zu hobeln.
lot-received-asked = Was war beim Eingang zu sehen?
lot-received-fork-title = { $prongs ->
        [pinch] Gabelprobe geht zusammen
       *[open] Gabelprobe geht auf
    }
lot-received-fork = { $prongs ->
        [pinch] Bei der Gabelprobe gehen die Zinken zusammen: Das Innere zieht an den Seiten. Von beiden Seiten gleich viel abnehmen, nicht auftrennen, und vor allem anderen ruhen lassen oder die Spannung abbauen.
        [open] Bei der Gabelprobe gehen die Zinken auseinander: Die Seiten ziehen am Inneren. Von beiden Seiten gleich viel abnehmen und nicht auftrennen, bevor eine neue Probe gerade bleibt.
       *[straight] Bei der Gabelprobe blieben die Zinken gerade: Keine Spannung quer zur Faser steht dem Auftrennen oder einseitigen Hobeln im Weg. Von der Spannung längs erzählt ein Probestreifen.
    }
lot-received-fork-uneven = Außen und innen liegen { FIGURE($apart_pct) } % auseinander, und auch davon krümmen sich Zinken: vor dem Ablesen einige Stunden liegen lassen, oder eine neue Gabelprobe schneiden, wenn es innen ausgeglichen ist.
lot-received-dust-title = Vielleicht Insekten
lot-received-dust = Frisches Mehl unter Insektenlöchern: Darin lebt vielleicht etwas. Aus dem Lager nehmen, einpacken und von allem anderen Holz fernhalten. Bekämpfen ist Sache des Fachbetriebs.
lot-received-face-checks = { $much ->
        [many] Viele Risse an den Flächen
       *[some] Risse an den Flächen
    }: Sie gehen tiefer, als man sieht. Zurückschneiden, bis das frische Ende gesund ist, und die Fläche nach dem ersten Durchgang ansehen.
lot-received-twist = { $much ->
        [many] Stark windschief
       *[some] Etwas windschief
    }: Windschiefes Holz wird gern wieder windschief. Länger liegen lassen, erst grob ablängen, und zweimal abrichten, dazwischen ruhen lassen.
lot-received-bow = { $much ->
        [many] Stark längs gebogen
       *[some] Etwas längs gebogen
    }: für kurze Teile aufheben, vor dem Abrichten grob ablängen.
lot-received-loose-knots = { $much ->
        [many] Viele lose Äste
       *[some] Lose Äste
    }: Sie fallen am Blatt heraus oder später. Die Teile darum herum legen, keinen Längsschnitt durch einen führen, und einen Streifen, der durch einen ging, ruhen lassen.
lot-received-bug-holes = { $much ->
        [many] Viele Insektenlöcher
       *[some] Insektenlöcher
    }: getrennt lagern und einige Wochen lang darunter nach frischem Mehl sehen. Alte Löcher ohne Mehl sind eine Frage des Aussehens; lebende bekämpft der Fachbetrieb.
lot-received-sapwood = { $much ->
        [many] Viel Splint
       *[some] Etwas Splint
    }: nicht für draußen, was auch immer das Kernholz aushält, und Insekten mögen ihn am liebsten. Er arbeitet wie das übrige Holz.
lot-received-stain = { $much ->
        [many] Stark verfärbt
       *[some] Etwas verfärbt
    }: vor dem Anreißen mit einem Durchgang sehen, wie tief es geht, und daneben nach weichen Stellen suchen: Verfärbung kommt von Feuchte.
lot-received-damaged-edges = { $much ->
        [many] Kanten stark beschädigt
       *[some] Kanten beschädigt
    }: zuerst bis auf gesunde Kanten besäumen und mit weniger Breite rechnen, als hier steht.
lot-received-sheet-bent = Die Tafeln sind nicht eben: flach auf ebener Unterlage lagern, beschwert, mit einer Deckplatte obenauf. Von selbst kommen sie nicht zurück; vor dem Zuschnitt eine erproben.
lot-sheet-title = Ungleiche Seiten
lot-sheet-bends = Die Seiten sind ungleich: Trocknet die Luft von { NUMBER($damp_pct, maximumFractionDigits: 0) } auf { NUMBER($dry_pct, maximumFractionDigits: 0) } % Luftfeuchte, wird die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } { $way ->
        [along] der Länge nach
       *[across] der Breite nach
    } hohl, um { MM($hollow_mm) } mm auf { GIVEN($over_mm) } mm ({ MM($least_mm) } bis { MM($most_mm) } mm){ $stays ->
        [yes] , und bleibt so
        [part] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach, später weniger
        [turns] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach; am Ende ist die andere Seite hohl
       *[no] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach; es kommt zurück, wenn die andere Seite folgt
    }.
lot-sheet-bends-too = { $way ->
        [along] Der Länge nach
       *[across] Der Breite nach
    } wird dann die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl, um { MM($hollow_mm) } mm auf { GIVEN($over_mm) } mm ({ MM($least_mm) } bis { MM($most_mm) } mm){ $stays ->
        [yes] , und bleibt so
        [part] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach, später weniger
        [turns] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach; am Ende ist die andere Seite hohl
       *[no] , am meisten etwa { $days ->
            [one] einen Tag
           *[other] { $days } Tage
        } danach; es kommt zurück, wenn die andere Seite folgt
    }.
lot-sheet-flat = Die Seiten sind ungleich, aber das verzieht es kaum, wenn die Luft von { NUMBER($damp_pct, maximumFractionDigits: 0) } auf { NUMBER($dry_pct, maximumFractionDigits: 0) } % Luftfeuchte trocknet.
lot-sheet-practice = Die Seiten sind ungleich, und nicht alles davon lässt sich in Zahlen fassen. { $why ->
        [laminate] Schichtstoff arbeitet mehr als das, worauf er liegt: In der Regel wird die { $face ->
            [top] Oberseite
           *[bottom] Unterseite
        } hohl, wenn die Luft trocknet.
        [veneer] Das mehr an Holz schwindet mehr: In der Regel wird die { $face ->
            [top] Oberseite
           *[bottom] Unterseite
        } quer zu dieser Faser hohl, wenn die Luft trocknet.
        [cover] Die offene Seite trocknet zuerst: In der Regel wird die { $face ->
            [top] Oberseite
           *[bottom] Unterseite
        } hohl, wenn die Luft trocknet, bis die andere gefolgt ist.
       *[unsure] Welche davon hohl wird, wenn die Luft trocknet, kann von hier aus niemand sagen.
    }
lot-sheet-back = Wird die Luft feuchter, geht es andersherum. Beidseitig dasselbe auflegen, mit gleicher Faserrichtung und am selben Tag, oder auf etwas befestigen, das es eben hält.
lot-sheet-alike = Auf beiden Seiten liegt dasselbe: Vom Aufbau her verzieht es nichts, solange beide Seiten in derselben Luft liegen.
lot-sheet-not-told = Nicht gesagt ist, was auf { $face ->
        [top] der Oberseite
        [bottom] der Unterseite
       *[both] den Seiten
    } liegt: Ungleiche Seiten verziehen eine Tafel, also nachsehen und aufschreiben.
lot-sheet-edges = Die Kanten sind offen: Sie nehmen Feuchte zuerst auf und quellen vor dem Rest. Anleimer anbringen oder versiegeln.
lot-sheet-limit = Eben auf { GIVEN($flat_mm) } mm über einen Meter.
lot-received-ends = Die Enden sind nicht versiegelt: Ihre äußeren { NUMBER($ends_mm, maximumFractionDigits: 0) } mm eilen in dieser Luft dem Rest voraus, höchstens { NUMBER($most_mm, maximumFractionDigits: 0) } mm{ $way ->
        [dries] . Enden reißen zuerst: versiegeln oder absägen.
       *[swells] . Versiegeln und dort nicht messen.
    }
lot-received-ends-open = Die Enden sind nicht versiegelt, und Enden reißen zuerst: versiegeln oder absägen.
lot-received-ends-wrapped = Die Enden sind nicht versiegelt: Solange es eingepackt ist, macht das wenig. Vor dem Öffnen versiegeln.
lot-received-ends-settled = Die Enden waren nicht versiegelt; in dieser Luft eilen sie dem Rest nicht mehr voraus. Auf Risse ansehen.
lot-received-clear = Beim Eingang wurde nichts daran gefunden.
lot-received-not-looked = Nicht angesehen:{ $face_checks ->
        [open] {" "}Risse an den Flächen;
       *[done] {""}
    }{ $twist ->
        [open] {" "}Windschiefe;
       *[done] {""}
    }{ $bow ->
        [open] {" "}Längsbiegung;
       *[done] {""}
    }{ $loose_knots ->
        [open] {" "}lose Äste;
       *[done] {""}
    }{ $bug_holes ->
        [open] {" "}Insektenlöcher;
       *[done] {""}
    }{ $sapwood ->
        [open] {" "}Splint;
       *[done] {""}
    }{ $stain ->
        [open] {" "}Verfärbung;
       *[done] {""}
    }{ $damaged_edges ->
        [open] {" "}Kanten;
       *[done] {""}
    }{ $ends_sealed ->
        [open] {" "}ob die Enden versiegelt sind;
       *[done] {""}
    }{ $fork_test ->
        [open] {" "}eine Gabelprobe;
       *[done] {""}
    }{ $sheet_flat ->
        [open] {" "}ob sie eben ist;
       *[done] {""}
    } nachholen, solange es zur Hand ist.
lot-received-alone = Aus diesem Stamm ist kein anderer Posten in der Werkstatt.
lot-received-together = Bretter eines Stamms bleiben beisammen, und { $count ->
        [one] ein weiterer Posten aus ihm ist
       *[other] { $count } weitere Posten aus ihm sind
    } in der Werkstatt.
lot-received-mate = { $name }, aus demselben Stamm, liegt hier: { $zone }.
lot-caution-received = Lose Äste und verborgenes Metall fliegen am Blatt davon: Augen und Gesicht schützen und vor dem Sägen hinsehen. Schüsseliges oder windschiefes Holz nie ohne sichere Auflage hobeln. Staub, vor allem von verfärbtem oder schimmeligem Holz: Absaugung und Maske. Insekten im Haus: Fachbetrieb.
lot-confirmed-asked = Liegt es noch, wie es geschrieben steht?
lot-confirmed-title = { $lying ->
        [wrapped] Noch eingepackt?
        [dead-stacked] Noch so gestapelt?
        [one-face] Liegt es noch so?
       *[stickered] Ist es noch dort?
    }
lot-lies = { $lying ->
        [wrapped] eingepackt
        [dead-stacked] ohne Leisten gestapelt
        [one-face] auf einer Seite liegend
        [on-edge] hochkant
       *[stickered] auf Stapelleisten
    }
lot-confirmed-lies = { $name }: { lot-lies }, { $zone }, seit { $at }.
lot-confirmed-seen = { $by ->
        [known] { $who }
       *[nobody] Jemand
    } { $how ->
        [said] hat es zuletzt so gesagt
       *[hand] hatte es zuletzt in der Hand
    }: { $at }.
lot-confirmed-holds = Das gilt bis { $at }.
lot-confirmed-past = Das galt bis { $at }; seither kann es anders liegen, ohne dass es jemand gesagt hat.
lot-confirmed-cost = Liegt es inzwischen anders, kann das Mittel { $side ->
        [drier] { FIGURE($drier_pct) } % tiefer
        [damper] { FIGURE($damper_pct) } % höher
       *[either] { FIGURE($drier_pct) } % tiefer oder { FIGURE($damper_pct) } % höher
    } sein, außen noch mehr: nachsehen und es sagen.
lot-confirmed-limit = Eine Angabe gilt { $days ->
        [one] einen Tag, denn es ist frisch gehobelt: Solches Holz ist in Arbeit
       *[other] { NUMBER($days, maximumFractionDigits: 0) } Tage
    }.
lot-if-still = { $lying ->
        [wrapped] falls noch eingepackt
        [dead-stacked] falls noch so gestapelt
        [one-face] falls es noch so liegt
       *[stickered] falls es noch dort liegt: { $zone }
    }
