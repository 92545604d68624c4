## Glue-up, and the closing round

glue-ask = Ask
glue-no-boards = No boards yet whose moisture is followed. Stock comes in on the Rack.
glue-touch-boards = Touch the boards. Those of another wood or thickness begin anew.
glue-two-pieces = Two pieces or more make a panel.
glue-pieces-of = { $taken } of { $pieces }
glue-more-boards = choose
glue-own-aim = { $low } to { $high } %
glue-ask-pieces = { $lot }: how many pieces?
glue-not-possible = Not so: would be right: { $reason }
glue-before = Before you glue
glue-boards-across = { $count ->
    [one] One strip
   *[other] { $count } boards
  }, { $width } across
glue-across-year = Its width through the year, if glued
glue-if-now = now
glue-if-later = { $days ->
    [0] today
    [one] in 1 day
   *[other] in { $days } days
  }
glue-when = When
glue-sooner = What brings it sooner
glue-against = Not ready. It would go against:
glue-against-kept = Glued all the same, these reasons are kept with the panel in the journal.
glue-all-the-same = Glued all the same
glue-adhesive-caution = A family's figures are a guide: the maker's sheet comes first. Gloves and fresh air; hardeners and isocyanates can make you allergic for good, and solvent vapour burns near a heater.
name-of-panel = { $lot }, panel
field-boards = Boards
field-adhesive = Adhesive
field-clamp_h = In the clamps
field-glued-in = Glued in
field-rings = Rings
ask-boards = Which boards?
ask-adhesive = Which adhesive?
ask-clamp_h = How long in the clamps?
ask-glued-in = Where is it glued?
ask-rings = How do the growth rings lie?
rings-not-told = not told
rings-alternating = alternating
rings-alike = all alike
glue-family-pva = PVA (white, yellow)
glue-family-cross-linking-pva = PVA, water-resistant
glue-family-urea-formaldehyde = urea-formaldehyde
glue-family-polyurethane = polyurethane
glue-family-epoxy = epoxy
glue-family-hide = hide glue, hot
do-glued = Glued
form-glued = Glued
tell-glued = It is in the clamps
done-glued = Glued

## Closing round

round = Closing round
round-heading = { $count ->
    [one] One lot lies open, or may lie otherwise by now
   *[other] { $count } lots lie open, or may lie otherwise by now
  }
round-nothing = Nothing is open. Good night.
round-as-it-was = As it was
round-opened = Opened
round-moved = Moved
round-all = All as they were
round-rest = { $count ->
    [one] The other one as it was
   *[other] The other { $count } as they were
  }
round-tell = { $count ->
    [0] Write down
    [one] Write down one
   *[other] Write down { $count }
  }
round-not-touched = What is not touched counts as not seen.
round-where = { $lot }: where to?
round-not-moved = Not moved
