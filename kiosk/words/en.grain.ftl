## End grain

grain-key = Colour: moisture inside, against its aim
grain-dry = dry
grain-damp = damp
grain-cup = { $times ->
    [1] cup drawn as it is
   *[other] cup drawn { $times } times
  }
grain-shell = shell { $pct }
grain-core = core { $pct }
grain-unknown = moisture not known
