# Was über eine Platte gesagt wird, Frage für Frage (server/advice/panel). Titel haben höchstens 24 Zeichen.
panel-cure-asked = Bekommt der Leim, was er braucht?
panel-cure-cold-title = Die Verleimung wärmen
panel-cure-cold = { $name }: Das Holz hat { TEMPERATURE($wood_c) }, kälter als die { TEMPERATURE($lowest_c) }, die der Leim braucht. Mit den Zwingen in einen wärmeren Raum bringen{ $late ->
        [yes] . Es war schon { FIGURE($cold_h) } h kalt, Wärme kommt vielleicht zu spät: Bevor den Fugen zu trauen ist, eine Verleimung mit demselben Leim brechen, die ebenso kalt war.
       *[no] : Leim, der noch nicht abgebunden hat, ist zu retten.
    }
panel-cure-doubt-title = Den Fugen nicht trauen
panel-cure-doubt = { $name }: In den Zwingen war es { FIGURE($cold_h) } von { GIVEN($told_h) } h kälter als die { TEMPERATURE($lowest_c) }, die der Leim braucht. Eine solche Fuge kann geschlossen aussehen und doch nicht halten, und Wärme hilft jetzt nicht mehr. { $flattened ->
        [yes] Nicht belasten, es sei denn, eine ebenso kalt gepresste Verleimung mit demselben Leim ist im Holz gebrochen.
       *[no] Nicht belasten. Eine ebenso kalt gepresste Verleimung mit demselben Leim brechen; gibt es keine, eine machen. Bricht sie im Holz, weitermachen; geht sie in der Leimfuge auf, die Fugen auftrennen und frische Kanten im Warmen verleimen.
    }
panel-cure-cool = { $name }: Die Zeit in den Zwingen verging im Warmen. Jetzt hat das Holz { TEMPERATURE($wood_c) }, kälter als die { TEMPERATURE($lowest_c) }, die der Leim braucht: Bis es wärmer ist, härtet er nicht weiter. Vorher weder belasten noch bearbeiten.
panel-cure-longer-title = In den Zwingen lassen
panel-cure-longer = { $name }: Bei dieser Temperatur noch { FIGURE($left_h) } h in den Zwingen, mehr als die angegebenen { GIVEN($told_h) } h. Sitzen lassen.
panel-cure-soon-title = Vorsichtig anfassen
panel-cure-soon = { $name }: Nach { GIVEN($told_h) } h aus den Zwingen genommen, mit { NUMBER($done, maximumFractionDigits: 0) } % der Zeit, die bei dieser Temperatur nötig war. Bis zum Aushärten nicht belasten, und eine Probeverleimung derselben Stunde brechen.
panel-cure-dry-title = Beim Aushärten einpacken
panel-cure-dry = Diese Luft zieht die Seiten { FIGURE($drier_pct) } % unter das Mittel: Solange der Leim weich ist, gehen zuerst die Enden auf. Einpacken oder dichte Folie über die Enden legen.
panel-cure-clamps-title = In den Zwingen
panel-cure-clamps = { $name }: noch { FIGURE($left_h) } h in den Zwingen.
panel-cure-wait-title = Aushärten lassen
panel-cure-wait = { $name }: ausgehärtet in { FIGURE($left_h) } h, wenn das Holz so warm bleibt. Vorher weder belasten noch bearbeiten.
panel-cure-unknown = { $name }: härtet noch aus; wie lange das bei dieser Temperatur dauert, sagt niemand. Weder belasten noch bearbeiten, bevor das Merkblatt des Herstellers es erlaubt.
panel-cure-there = { $name }: ausgehärtet.
panel-cure-warmth = Das Holz hat jetzt { TEMPERATURE($wood_c) }; danach richtet sich der Leim, nicht nach der Luft.
panel-cure-missing = { $why ->
        [too-cold] Eine Zeit lang war das Holz kälter, als dieser Leim verträgt; sie zählt nicht.
        [longer] Eine Zeit lang war das Holz kälter, als es veröffentlichte Zeiten gibt; im schlimmsten Fall zählt sie nichts.
        [sheet-silent] Von so kaltem Holz sagt das Merkblatt des Herstellers nichts; im schlimmsten Fall zählt diese Zeit nichts.
       *[not-found] Für diesen Leim ist keine Zeit veröffentlicht: das Merkblatt des Herstellers eintippen. Bis dahin gilt ein Tag nach den Zwingen als ausgehärtet.
    }
panel-cure-limit = { $known ->
        [no] Die Mindesttemperatur steht im Merkblatt des Herstellers.
        [gels] Er bindet beim Abkühlen ab: Warm sein muss es nur, bis die Zwingen sitzen.
       *[yes] Das Holz nicht kälter als { TEMPERATURE($lowest_c) }.
    }
panel-flat-asked = Darf sie plangehobelt werden?
panel-flat-first-cured = Erst muss der Leim aushärten.
panel-flat-doubt = Zu kalt gepresst: { $name } erst planhobeln, wenn eine ebenso kalt gepresste Verleimung mit demselben Leim im Holz gebrochen ist.
panel-flat-wait-title = { WHOLE($left_days) ->
        [one] Planhobeln in { NUMBER($left_days, maximumFractionDigits: 0) } Tag
       *[other] Planhobeln in { NUMBER($left_days, maximumFractionDigits: 0) } Tagen
    }
panel-flat-wait = { $name }: Planhobeln in { FIGURE($left_days) } Tagen.
panel-flat-uneven-title = Innen ausgleichen lassen
panel-flat-uneven = { $name }: Die Platte hat nach dem Verleimen geruht, aber außen und innen liegen mehr als 1 % auseinander: Jetzt plangehobelt, bliebe sie nicht eben.
panel-flat-aim-title = Noch nicht im Ziel
panel-flat-aim = { $name }: Die Platte hat nach dem Verleimen geruht, steht aber bei { FIGURE($mean_pct) } %, außerhalb des Ziels von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %: Jetzt plangehobelt, würde auf dem Weg dorthin jeder Streifen für sich uneben.
panel-flat-ready-title = Planhobeln ist möglich
panel-flat-ready = { $name }: Planhobeln ist möglich. { $water ->
        [yes] Die Leimfugen sind so weit eingefallen, dass man sie nicht sehen wird
        [days] Die Leimfugen hatten die Tage, die sonst genügen, stehen aber vielleicht noch etwas vor; die letzten Durchgänge und das Schleifen bleiben für später
       *[no] Der Leim ist ausgehärtet
    }; die Platte ist innen ausgeglichen und im Ziel.
panel-flat-early = Plangehobelt wurde { FIGURE($rested_days) } Tage nach den Zwingen, bevor die Leimfugen trocken waren: Sie können noch einfallen{ $stage ->
        [flattened] . So lange mit den letzten Durchgängen und dem Schleifen warten.
       *[finished] { " " }und sich durch die Oberfläche abzeichnen.
    }
panel-flat-done = Plangehobelt wurde { FIGURE($rested_days) } Tage nach den Zwingen.
panel-flat-sinks-title = Noch nicht schleifen
panel-flat-line = Der Leim brachte etwa { NUMBER($water_g, maximumFractionDigits: 0) } g Wasser auf jeden Quadratmeter Fuge; das Holz daneben steht { NUMBER($out_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm vor, höchstens { NUMBER($most_mm, minimumFractionDigits: 2, maximumFractionDigits: 2) } mm.
panel-flat-why = Wasserhaltiger Leim lässt das Holz neben jeder Fuge quellen; wird gehobelt, bevor das trocken ist, fällt die Fuge später ein und zeichnet sich ab.
panel-flat-limit = { $known ->
        [no] Bis der Leim ausgehärtet ist: Er bringt kein eigenes Wasser mit, oder niemand sagt, wie viel.
        [line] { FIGURE($days) } Tage ab den Zwingen: bis das Holz neben einer Fuge höchstens { NUMBER($shows_mm, minimumFractionDigits: 3, maximumFractionDigits: 3) } mm vorsteht, oder die Tage, die sonst genügen, in der Kälte mehr.
       *[yes] { FIGURE($days) } Tage ab den Zwingen.
    }
panel-finish-asked = Oberfläche auf eine Seite oder beide, und jetzt?
panel-finish-cups = Mit Oberfläche auf nur einer Seite wird sie dort binnen einem Jahr { MM($one_mm) } mm hohl auf { GIVEN($width_mm) } mm, und zwar die { $face ->
        [top] Oberseite
       *[bottom] Unterseite
    }, höchstens { MM($far_mm) } mm; beidseitig gleich behandelt { MM($both_mm) } mm.
panel-finish-swings = Roh arbeitet sie übers Jahr { MM($bare_mm) } mm, mit Oberfläche auf beiden Seiten { MM($both_mm) } mm.
panel-finish-other-title = Die andere Seite auch
panel-finish-other = { $name }: Die beiden Seiten sind verschieden behandelt, und die Platte kann binnen einem Jahr { MM($cup_mm) } mm uneben werden: der anderen Seite dasselbe geben.
panel-finish-aim-title = Noch nicht im Ziel
panel-finish-aim = { $name }: { FIGURE($mean_pct) } %, außerhalb des Ziels von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %: Eine Oberfläche hielte die Platte länger dort.
panel-finish-uneven-title = Erst innen ausgleichen
panel-finish-uneven = { $name }: Außen und innen liegen mehr als 1 % auseinander; eine Oberfläche schlösse das wochenlang ein.
panel-finish-ready-title = Reif für die Oberfläche
panel-finish-ready = { $name }: reif für die Oberfläche, innen ausgeglichen und im Ziel. Beidseitig gleich behandelt bleibt die Platte eben.
panel-finish-sinks = { $name }: mit der Oberfläche noch warten. Die Leimfugen können noch einfallen, und die letzten Durchgänge kommen zuerst.
panel-finish-limit = Höchstens { GIVEN($flat_mm) } mm hohl auf { GIVEN($width_mm) } mm.
panel-caution-finish = Höchstwerte: Holz gibt mit der Zeit nach. Für das Oberflächenmittel geht das Merkblatt des Herstellers vor: Handschuhe, frische Luft, keine Flamme und kein Heizgerät in der Nähe der Dämpfe. Öllappen erhitzen sich von selbst: flach ausbreiten oder unter Wasser legen.
panel-fit-asked = Hat sie das Spiel, das sie braucht?
panel-fit-used = { $name }: Die Platte ist seit dem Einpassen um { MM($now_mm) } mm gequollen und hat ihre { GIVEN($room_mm) } mm Spiel verbraucht: { MM($plane_mm) } mm abnehmen, bevor sie den Rahmen auseinanderdrückt.
panel-fit-plane-title = Gangbar hobeln
panel-fit-binds = { $name }: Die Platte hat { MM($now_mm) } von { GIVEN($room_mm) } mm Spiel verbraucht; binnen einem Jahr braucht sie { MM($most_mm) } mm, höchstens { MM($far_mm) } mm: Sie würde klemmen. { MM($plane_mm) } mm abnehmen.
panel-fit-binds-title = Sie wird klemmen
panel-fit-enough = { $name }: Die Platte hat { MM($now_mm) } von { GIVEN($room_mm) } mm Spiel verbraucht und braucht binnen einem Jahr { MM($most_mm) } mm, höchstens { MM($far_mm) } mm.
panel-fit-unknown = { $name }: Die Platte quillt binnen einem Jahr ab dem Einpassen um { MM($most_mm) } mm, höchstens { MM($far_mm) } mm; wie viel Spiel sie bekam, hat niemand gesagt.
panel-fit-limit = Die { GIVEN($clearance_mm) } mm Spiel, die sie bekam.
panel-fit-slot = { $name }: Nötig sind Langlöcher { $fixed ->
        [middle] von { MM($middle_mm) } mm
        [edge] von { MM($needed_mm) } mm
       *[not-told] von { MM($middle_mm) } mm, wo ihre Mitte fest ist, von { MM($needed_mm) } mm, wo es eine Kante ist
    }; sie sind { GIVEN($slot_mm) } mm lang.
panel-fit-centre-title = Schrauben neu setzen
panel-fit-centre = { $name }: Die Langlöcher sind lang genug, aber { $told ->
        [yes] auf
       *[no] falls die Schrauben beim Einpassen in der Mitte saßen, auf
    } der { $side ->
        [outer] äußeren
       *[inner] inneren
    } Seite jeder Schraube bleiben { MM($left_mm) } mm, und binnen einem Jahr braucht sie { MM($needs_mm) } mm. Schrauben lösen und so setzen, dass außen, vom festen Punkt weg, { MM($outer_mm) } mm frei sind und innen { MM($inner_mm) } mm; dann neu als eingepasst melden.
panel-fit-slot-enough = { $where ->
        [any] { $name }: Die Langlöcher von { GIVEN($slot_mm) } mm genügen für das Jahr.
       *[middle] { $name }: Die Langlöcher von { GIVEN($slot_mm) } mm genügen für das Jahr, wo die Mitte fest ist; wo es eine Kante ist, müssen es { MM($needed_mm) } mm sein.
    }
panel-fit-slot-title = Langlöcher verlängern
panel-fit-slot-limit = Die { GIVEN($slot_mm) } mm der Langlöcher.
panel-fit-free-title = { $rank ->
        [fails] Lösen: sie muss arbeiten
       *[yields] Sitzt fest: ansehen
    }
panel-fit-held = { $name }: Die Platte sitzt fest. Bei der größten Trockenheit würde sie um { NUMBER($stretch_pct, minimumFractionDigits: 2, maximumFractionDigits: 2) } % gedehnt, { $rank ->
        [within] was Holz aushält
        [yields] mehr, als Holz aushält, ohne nachzugeben
       *[fails] mehr, als Holz aushält, ohne zu brechen: lösen, sonst reißt sie
    }.{ $set ->
        [yes] {" "}Bei der größten Feuchte wird sie so weit gestaucht, dass etwas zurückbleibt, und klafft in der nächsten trockenen Zeit umso mehr.
       *[no] {""}
    }
panel-fit-held-limit = Um { NUMBER($yields_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % gedehnt gibt Holz nach, um { NUMBER($fails_pct, minimumFractionDigits: 1, maximumFractionDigits: 1) } % bricht es.
panel-caution-fit = Eine Schätzung für trockenes Holz, elastisch und ohne Kriechen: Sie ordnet die Gefahr und sagt keinen Riss voraus. Rahmen, Nuten und Enden halten etwas davon zurück. Nie ein Stück hobeln, das nicht sicher gespannt ist.
panel-crate-asked = Braucht sie unterwegs Folie?
panel-crate-moves = In { GIVEN($days) } { $days ->
        [one] solchen Tag
       *[other] solchen Tagen
    } { $way ->
        [shrinks] schwindet
       *[swells] quillt
    } sie in offener Kiste um { MM($open_mm) } mm und wird höchstens { MM($cup_mm) } mm uneben; in Folie sind es { MM($wrapped_mm) } mm. { $wrap ->
        [yes] Einpacken.
        [damp] Aber sie steht bei { FIGURE($mean_pct) } %, feuchter als ihr Ziel: Eingepackt bliebe das so. Erst ins Ziel kommen lassen, dann einpacken.
       *[no] Der Luft wegen braucht sie keine Folie.
    }
panel-crate-limit = Folie, wenn die Fahrt das Mittel um { GIVEN($needs_pct) } % oder mehr verschieben würde.
panel-caution-crate = Nur trockenes Holz einpacken: Feuchtes schimmelt unter Folie. Eine frische Oberfläche klebt unter Folie: Das Merkblatt des Herstellers geht vor. Schwere Kisten nicht allein heben.
panel-home-asked = Wie verhält sie sich dort, und darf sie hin?
panel-home-year = Heute ist sie { MM($width_mm) } mm breit; binnen einem Jahr wird sie dort am schmalsten um den { $narrow_at } mit { MM($narrow_mm) } mm und am breitesten um den { $wide_at } mit { MM($wide_mm) } mm, äußerstenfalls { MM($least_mm) } bis { MM($most_mm) } mm.
panel-home-plan = Nur zum Planen, { $of ->
        [aim] wenn das Haus einmal so trocken und warm ist, wie es das Ziel verlangt
       *[told] in der angegebenen Luft
    }: heute { MM($width_mm) } mm breit, würde sie binnen einem Jahr am schmalsten um den { $narrow_at } mit { MM($narrow_mm) } mm und am breitesten um den { $wide_at } mit { MM($wide_mm) } mm, äußerstenfalls { MM($least_mm) } bis { MM($most_mm) } mm. Noch soll sie nicht dorthin.
panel-home-fast = Sie sitzt fest: Spiel neben den Kanten hilft ihr nicht. Was diese Spannung macht, steht unter „{ panel-fit-asked }“.
panel-home-first = { $name }: noch nicht liefern. { $what ->
        [finish] Die Seiten sind verschieden behandelt, und die andere kommt zuerst.
       *[fit] Wie sie eingepasst ist, kommt zuerst.
    }
panel-home-gap = { $fit ->
        [drawer] Als Schubkastenvorderstück heute auf insgesamt { MM($gap_mm) } mm Spiel hobeln
        [door] Als einliegende Tür heute auf insgesamt { MM($gap_mm) } mm Spiel hobeln
        [groove] Heute { MM($gap_mm) } mm Spiel am Grund jeder Nut lassen
       *[edges] Heute neben den Kanten insgesamt { MM($gap_mm) } mm Spiel lassen
    }; bei der größten Trockenheit sind das { MM($dry_mm) } mm.
panel-home-slot = Für { GIVEN($screw_mm) }-mm-Schrauben müssen die Langlöcher { MM($middle_mm) } mm lang sein, wo ihre Mitte fest ist, { MM($slot_mm) } mm, wo es eine Kante ist.
panel-home-wrapped = Kommt sie mit { TEMPERATURE($cold_c) } herein, bleibt sie in der Folie, { $unit ->
        [min] bis zu { NUMBER($most_count, maximumFractionDigits: 0) } min
       *[h] { FIGURE($count) } h, höchstens { FIGURE($most_count) } h
    }: Wird sie ausgepackt, bevor ihre Oberfläche über { TEMPERATURE($dew_c) } hat, schlägt sich Wasser darauf nieder.
panel-home-dry = Kommt sie mit { TEMPERATURE($cold_c) } herein, darf sie gleich ausgepackt werden: Der Taupunkt des Raums liegt bei { TEMPERATURE($dew_c) }.
panel-home-never-warm = Der Raum hat { TEMPERATURE($room_c) } und den Taupunkt bei { TEMPERATURE($dew_c) }: Auf einem kalten Stück schlägt sich dort tagelang Wasser nieder. Erst den Raum trocknen lassen.
panel-home-refused-title = { $why ->
        [plaster] Nicht in nassen Putz
       *[unheated] Nicht ins kalte Haus
    }
panel-home-refused = { $why ->
        [plaster] { $name }: bleibt hier. Neuer Putz oder Estrich gibt wochenlang Wasser ab, und keine Zahl sagt, wie feucht das Haus ist. Nach der Luftfeuchte einer Woche fragen und warten, bis sie im Ziel ist.
       *[unheated] { $name }: bleibt hier. Ein ungeheiztes Haus ist kälter und feuchter als das, wofür die Platte gebaut ist. Warten, bis es geheizt und bewohnt ist, oder für jene Luft bauen.
    }
panel-home-off-title = Noch nicht im Ziel
panel-home-off = { $name }: { FIGURE($mean_pct) } %, außerhalb des Ziels von { GIVEN($low_pct) } bis { GIVEN($high_pct) } %: erst dorthin kommen lassen oder Spiel für den Weg lassen.
panel-home-fit-title = Bereit zum Einpassen
panel-home-fit = { $name }: kann eingepasst werden. Die Oberfläche ist fertig und die Platte im Ziel.
panel-home-ask-title = Nach dem Haus fragen
panel-home-ask = { $name }: vor der Lieferung zwei Fragen. Ist das Haus geheizt und bewohnt, und ist dort Putz oder Estrich neu?
panel-home-ready-title = Bereit zum Ausliefern
panel-home-ready = { $name }: kann geliefert werden. Die Platte ist im Ziel, das Haus geheizt und trocken.
panel-home-limit = Das Mittel zwischen { GIVEN($low_pct) } und { GIVEN($high_pct) } %.
panel-caution-home = Eine Schätzung für trockenes Holz, für die Mitte einer Platte in einem gleichmäßigen Jahr; offenes Hirnholz eilt voraus. Von Öfen und Heizkörpern fernhalten. Frische Oberfläche und Leim: Die Merkblätter der Hersteller gehen vor.
panel-there-asked = Wie geht es ihr beim Kunden?
panel-there-title = { $inside ->
        [yes] Dort im Ziel
       *[no] Dort nicht im Ziel
    }
panel-there-held = { $name }: inzwischen wohl { FIGURE($mean_pct) } %, zwischen { FIGURE($low_pct) } und { FIGURE($high_pct) } %.
panel-there-unread = Dort hat niemand gemessen: Die Luft ist die des Orts, für den sie gebaut wurde.
panel-there-read = { $used ->
        [yes] Die Messung vom { $at } brachte sie von { FIGURE($before_pct) } auf { FIGURE($after_pct) } %.
       *[no] Die Messung vom { $at } lag zu weit neben den erwarteten { FIGURE($before_pct) } %, um ihr zu glauben: noch einmal messen, an anderer Stelle.
    }
panel-there-changed = Das Jahr von jetzt an: { MM($narrow_mm) } bis { MM($wide_mm) } mm breit, ohne die Messung waren { MM($was_narrow_mm) } bis { MM($was_wide_mm) } mm erwartet.
panel-there-air = Die Luft dort zieht sie auf { FIGURE($emc_pct) } %, { $fits ->
        [yes] womit gerechnet war
       *[no] womit nicht gerechnet war
    }.
