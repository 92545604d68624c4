# Meldungen über Posten (server/rules): Der Titel sagt, was zu tun ist, dann folgt das Warum. "far" wird quer durch die
# Werkstatt gelesen: höchstens 30 Zeichen, darin Namen bis 15.
alert-lot-checks-title = { $deed ->
        [wrap] { $name } einpacken
        [move] { $name } umlagern: { $to_zone }
        [ends] { $name }: Enden versiegeln oder absägen
       *[watch] { $name }: Flächen ansehen
    }
alert-lot-checks-why = Außen wird es binnen einem Tag bis zu { FIGURE($ahead_pct) } % trockener als im Mittel: Rissgefahr { FIGURE($index) }, ab { FIGURE($look_index) } lohnt das Hinsehen. Das reiht es unter andere Posten ein und sagt keinen Riss voraus.{ $ends ->
        [open] { " " }Die Enden sind nicht versiegelt, und Enden reißen zuerst.
        [not-told] { " " }Enden reißen zuerst: Sind sie versiegelt?
       *[sealed] { "" }
    }
band-lot-checks-far = { $name }: Rissgefahr
band-lot-checks-far-short = Ein Posten trocknet zu schnell
alert-lot-cup-title = { $deed ->
        [turned] { $name } wenden
        [stickered] { $name } auf Stapelleisten legen
        [wrapped] { $name } einpacken
       *[none] { $name } ansehen
    }
alert-lot-cup-why = Wie es liegt, wird die { $hollow ->
        [top] Oberseite
       *[bottom] Unterseite
    } hohl, { MM($cup_mm) } mm auf { GIVEN($width_mm) } mm bis { $at }; geduldet sind { GIVEN($tolerance_mm) } mm.
band-lot-cup-far = { $name }: wird hohl
band-lot-cup-far-short = Ein Posten wird hohl
alert-milled-open-title = { $deed ->
        [turned] { $name } vor Feierabend wenden
        [stickered] { $name } vor Feierabend auf Stapelleisten legen
       *[wrapped] { $name } vor Feierabend einpacken
    }
alert-milled-open-why = Frisch gehobelt, und es liegt offen. Bis { $at } wird es { MM($cup_mm) } mm uneben auf { GIVEN($width_mm) } mm, höchstens { MM($most_mm) } mm; geduldet sind { GIVEN($tolerance_mm) } mm.
band-milled-open-far = { $name }: liegt offen
band-milled-open-far-short = Gehobeltes liegt offen
alert-lots-unconfirmed-title = { $count ->
        [one] { $name }: nachsehen, wie es liegt
       *[other] Bei { $count } Posten nachsehen, wie sie liegen, zuerst: { $name }
    }
alert-lots-unconfirmed-why = Schon zu lange hat niemand gesagt, ob es noch so liegt, wie es geschrieben steht. Die nächste Feierabendrunde fragt danach.
band-lots-unconfirmed-far = Nachsehen, wie Posten liegen
alert-wrap-sweating-title = { $name } mit einer Decke zudecken
alert-wrap-sweating-why = Die Folie kühlt auf etwa { TEMPERATURE($film_c) } ab (bis { $at }, wenn der Tag verläuft wie der letzte), und { $measured ->
        [yes] nach dem Fühler darin
       *[no] nach den Außenschichten gerechnet
    } hat die Luft darunter ihren Taupunkt bei { TEMPERATURE($dew_point_c) }: Die Folie würde die Bretter nass machen. Oder umlagern, wo es wärmer bleibt; nicht in die Kälte öffnen.
band-wrap-sweating-far = { $name }: schwitzt
band-wrap-sweating-far-short = Eine Folie schwitzt
alert-lot-good-title = { $name }: jetzt hobelreif
alert-lot-good-why = Außen und innen liegen weniger als 1 % auseinander, und das Mittel, { FIGURE($mean_pct) } %, ist im Ziel.
band-lot-good-far = { $name }: hobelreif
band-lot-good-far-short = Ein Posten ist hobelreif
alert-away-title = { $count ->
        [one] Vor der Abwesenheit einpacken: { $name }
       *[other] Vor der Abwesenheit { $count } Posten einpacken
    }
alert-away-why = Von { $from } bis { $to } ist niemand da. Wie es liegt, droht inzwischen Verzug, falsche Feuchte oder ein Riss bei { $names }{ $more ->
        [0] { "" }
        [one] { " " }und einem weiteren Posten
       *[other] { " " }und { $more } weiteren Posten
    }; in Folie weniger.
band-away-far = Vor dem Gehen Holz einpacken
alert-panel-cures-title = { $deed ->
        [warm] { $name } bei mindestens { TEMPERATURE($keep_c) } halten
        [clamps] { $on ->
            [yes] { $name } in den Zwingen lassen bis { $at }
           *[no] { $name } noch nicht belasten
        }
        [test] { $name }: Fugen erproben
       *[wrap] { $name } mit Folie abdecken
    }
alert-panel-cures-why = { $deed ->
        [warm] { $when ->
            [now] Das Holz hat { TEMPERATURE($wood_c) }
           *[coming] Das Holz kühlt bis { $at } auf { TEMPERATURE($wood_c) } ab, wenn es dort ({ $room }) weitergeht wie am letzten Tag
        }; unter { TEMPERATURE($lowest_c) } härtet der Leim nicht aus. Heizen, bis er hart ist ({ $room }), oder die Platte in einen warmen Raum bringen, mit den Zwingen, falls sie sitzen.
        [clamps] { $on ->
            [yes] Das Holz hat { TEMPERATURE($wood_c) }; dabei braucht der Leim die Zwingen länger als angegeben, nämlich länger als bis { $off }.
           *[no] Die Zwingen sollten ab, bevor der Leim die Zeit hatte, die er bei { TEMPERATURE($wood_c) } braucht: { $off }. Sitzen sie noch, dann bis { $at } lassen; sonst eine Probeverleimung derselben Stunde brechen und erst belasten, wenn der Leim ausgehärtet ist.
        }
        [test] In den Zwingen war es { FIGURE($cold_h) } h lang kälter als { TEMPERATURE($lowest_c) }: Die Fugen können geschlossen aussehen und doch nicht halten, und Wärme hilft jetzt nicht mehr. Nicht belasten. Eine Verleimung mit demselben Leim brechen, die ebenso kalt gepresst wurde; geht sie in der Leimfuge auf, die eigenen Fugen auftrennen und neu verleimen.
       *[wrap] Die Luft, bei { TEMPERATURE($air_c) }, zieht die Seiten { FIGURE($drier_pct) } % unter das Mittel: Die Enden gehen auf, solange der Leim weich ist. Dichte Folie darüber, zuerst über die Enden, bis er ausgehärtet ist; von der Heizung fernhalten.
    }
band-panel-cures-far = { $name }: Leim ansehen
band-panel-cures-far-short = Eine Platte härtet schlecht
alert-panel-flat-title = { $name }: Planhobeln ist möglich
alert-panel-flat-why = Seit { $at } hatte der Leim die Zeit, die er braucht; außen und innen liegen weniger als 1 % auseinander, und die Platte ist im Ziel von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %.
band-panel-flat-far = { $name }: hat geruht
band-panel-flat-far-short = Eine Platte hat geruht
alert-clearance-used-title = { $deed ->
        [ease] { $name }: { MM($take_mm) } mm abnehmen
        [slots] { $name }: Langlöcher verlängern
        [centre] { $name }: Schrauben neu setzen
        [wrap] { $name } einpacken
       *[look] { $name }: Sitz ansehen
    }
alert-clearance-used-why = { $which ->
        [wide] { $when ->
            [now] Die Platte ist { MM($now_mm) } mm breiter als beim Einpassen, und wo sie steht, werden es { MM($moved_mm) } mm, höchstens { MM($most_mm) } mm auf { GIVEN($width_mm) } mm
           *[coming] Wo die Platte steht, wird sie { MM($moved_mm) } mm breiter als beim Einpassen, höchstens { MM($most_mm) } mm auf { GIVEN($width_mm) } mm, und hat ab { $at } kein Spiel mehr
        }; { $fit ->
            [slot] die Langlöcher lassen ihr { MM($room_mm) } mm
           *[other] gelassen wurden ihr { MM($room_mm) } mm
        }.
       *[narrow] { $when ->
            [now] Die Platte ist { MM($now_mm) } mm schmaler als beim Einpassen, und wo sie steht, werden es { MM($moved_mm) } mm, höchstens { MM($most_mm) } mm auf { GIVEN($width_mm) } mm
           *[coming] Wo die Platte steht, schwindet sie seit dem Einpassen um { MM($moved_mm) } mm, höchstens { MM($most_mm) } mm auf { GIVEN($width_mm) } mm, und verliert ab { $at } ihren Halt
        }; { $fit ->
            [groove] eine Nut von üblicher Tiefe hält sie { MM($room_mm) } mm weit.
           *[other] die Langlöcher lassen ihr { MM($room_mm) } mm.
        }
    }{ $deed ->
        [slots] { " " }Auf der { $which ->
            [wide] äußeren
           *[narrow] inneren
        } Seite jeder Schraube bleiben { MM($left_mm) } mm: Dort genügen { MM($take_mm) } mm mehr.
        [centre] { " " }Auf der { $which ->
            [wide] äußeren
           *[narrow] inneren
        } Seite jeder Schraube bleiben { MM($left_mm) } mm, auf der anderen mehr als nötig: lösen und jener Seite { MM($take_mm) } mm mehr vom Langloch geben.
        [wrap] { " " }Folie hält ab, was noch kommt.
       *[other] { "" }
    }
band-clearance-used-far = { $name }: klemmt
band-clearance-used-far-short = Eine eingepasste Platte klemmt
alert-lot-over-title = { $rule ->
        [lot-checks] { $name }: war zu schnell getrocknet
        [lot-cup] { $name }: war hohl geworden
        [milled-open] { $name }: hatte offen gelegen
        [lots-unconfirmed] Wie Posten liegen, hatte niemand nachgesehen
        [wrap-sweating] Die Folie hatte geschwitzt: { $name }
        [away] Holz war einzupacken
        [panel-cures] { $name }: Leim war schlecht gehärtet
        [panel-flat] { $name }: hatte geruht
        [lot-good] { $name }: war hobelreif
       *[clearance-used] { $name }: hatte geklemmt
    }
not-watched-no-panel = nicht überwacht, weil keine Platte in der Werkstatt ist
not-watched-no-lot = nicht überwacht, weil kein Posten in der Werkstatt ist oder noch keiner berechnet wurde
not-watched-no-hours = nicht überwacht, weil keine Arbeitszeiten genannt sind
not-watched-no-wrap = nicht überwacht, weil kein Posten eingepackt ist
not-watched-nobody-away = nicht überwacht, weil keine Abwesenheit genannt ist
