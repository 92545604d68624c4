## Hirnholz

grain-key = Farbe: Feuchte innen, gegen sein Ziel
grain-dry = trocken
grain-damp = feucht
grain-cup = { $times ->
    [1] Wölbung wie sie ist
   *[other] Wölbung { $times }-fach gezeichnet
  }
grain-shell = Schale { $pct }
grain-core = Kern { $pct }
grain-unknown = Feuchte nicht bekannt
