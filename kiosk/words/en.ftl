## The kiosk's own words. One key a text; de.ftl has the same keys with the same values.
## Sentences about air and wood are the server's. Figures come in as texts, whole numbers choose their plural here.

## Screens, in the bar's order

screen-shop = Shop
screen-rack = Rack
screen-glue_up = Glue-up
screen-seasons = Seasons
screen-bench_book = Bench book
screen-setup = Setup

## A verdict's four words

word-ready = ready
word-wait = wait
word-look = look
word-act = act

## Shop

draws-to = This air draws wood to
outlook = Three days back, four ahead
aim = aim
now = now
yesterday = yesterday { $emc }
air = air
humidity = humidity
dew-point = dew point
silent = silent
waiting = waiting
clock-not-set = clock not set
weekday-short = { $day ->
    [1] Mon
    [2] Tue
    [3] Wed
    [4] Thu
    [5] Fri
    [6] Sat
   *[7] Sun
  }
month-short = { $month ->
    [1] Jan
    [2] Feb
    [3] Mar
    [4] Apr
    [5] May
    [6] Jun
    [7] Jul
    [8] Aug
    [9] Sep
    [10] Oct
    [11] Nov
   *[12] Dec
  }
date = { $day_of_month } { $month }
stamp = { $weekday } { $date } · { $clock }

## To look at, and what a touch on it opens

to-look-at = To look at
nothing-to-look-at = Nothing to look at
at = at { $at }
acknowledge = Acknowledge
shelve = Shelve { $hours } h
unshelve = Unshelve
back = Back
undo = Undo
close = Close
caution = Caution
source-of-limit = Source of the limit: { $source }
sending = Sending
not-done = Not done: { $reason }
alert-over = This alert is over
state-acknowledged = acknowledged
state-returned = back to normal
state-suppressed = suppressed
shelved-until = shelved until { $at }
page-of = { $page } of { $pages }

## The window about itself

server-away = Server away since { $at }
waiting-for-server = Waiting for the server
waiting-hint = This window keeps trying. If the server was not started, deploy/run starts it.
restarted = This window was restarted
restarted-why = Only the picture went away. The server kept every reading.

## Screens that are not built yet

not-built-yet = { $screen }: not built yet
later-seasons = It will lay this winter beside the ones before it.
