# What holds the aim of a room tonight, in English. Air "draws wood to" a figure; that figure is never the wood's moisture.

room-tonight = { $way ->
    [inside] Nothing is needed: by its outlook the air there draws wood to { FIGURE($low_pct) } to { FIGURE($high_pct) } % until { $until }, inside the aim of { GIVEN($dry_limit_pct) } to { GIVEN($damp_limit_pct) } %.
    [dry] By its outlook the air there may draw wood to { FIGURE($low_pct) } % until { $until }, where the aim begins at { GIVEN($dry_limit_pct) } %. Wrap stock that is milled, or do what follows.
    [damp] By its outlook the air there may draw wood to { FIGURE($high_pct) } % until { $until }, where the aim ends at { GIVEN($damp_limit_pct) } %. Wrap stock that is milled, or do what follows.
   *[both] By its outlook the air there may draw wood to anything from { FIGURE($low_pct) } to { FIGURE($high_pct) } % until { $until }, wider than the aim of { GIVEN($dry_limit_pct) } to { GIVEN($damp_limit_pct) } %. Wrap stock that is milled.
}
room-tonight-unknown = There is no outlook for the night yet: too little has been heard of this air.

room-heat = { $way ->
    [dry-enough] Up to { TEMPERATURE($temperature_c) } this air holds { FIGURE($hold_pct) } % without water, { $lasts ->
        [morning] until morning
       *[now] as long as no vapour leaves it or comes in
    }: the { TEMPERATURE($indoor_c) } of other nights will do.
    [dry-set] { TEMPERATURE($temperature_c) } tonight holds { FIGURE($hold_pct) } % without water, { $lasts ->
        [morning] until morning
       *[now] as long as no vapour leaves it or comes in
    }; at the { TEMPERATURE($indoor_c) } of other nights the same air is too dry.
    [damp-enough] From { TEMPERATURE($temperature_c) } up this air stays below { FIGURE($hold_pct) } %, { $lasts ->
        [morning] until morning
       *[now] as long as no vapour leaves it or comes in
    }: the { TEMPERATURE($indoor_c) } of other nights will do.
   *[damp-set] { TEMPERATURE($temperature_c) } tonight keeps it at { FIGURE($hold_pct) } % without taking water out, { $lasts ->
        [morning] until morning
       *[now] as long as no vapour leaves it or comes in
    }; at the { TEMPERATURE($indoor_c) } of other nights the same air is too damp.
}
room-heat-spread = For the vapour that is there now it lies, eight times in ten, between { TEMPERATURE($low_c) } and { TEMPERATURE($high_c) }, by what the sensors may be off.
room-heat-morning = With the air that leaks in and out, it is { TEMPERATURE($temperature_c) } by morning.
room-heat-too-dry = Without water no temperature from { TEMPERATURE($temperature_c) } up holds { FIGURE($hold_pct) } %: this air is too dry. Wrap stock that is milled.
room-heat-too-damp = Heat alone does not bring it down to { FIGURE($hold_pct) } % up to { TEMPERATURE($temperature_c) }: this air is too damp.
room-heat-any-damp = However warm it is up to { TEMPERATURE($temperature_c) }, this air holds { FIGURE($hold_pct) } % without water.
room-heat-any-dry = However cool it is down to { TEMPERATURE($temperature_c) }, this air stays below { FIGURE($hold_pct) } %.
room-caution-heat = Glue and finishes need the warmth on their maker's sheet, also while they cure. A heater near dust or solvent vapour burns: follow its maker and the local code, and leave its wiring to a licensed person.

room-water-no-volume = No litres can be named before the room's volume is told: volume_m3 of this zone.
room-water-no-outdoors = No litres can be named before something measures outdoors: a zone with outdoors = true, and a sensor in it.
room-water-no-leakiness = No litres can be named while nobody knows how leaky the room is: its nights do not tell yet, and no air_changes_per_h is told.
room-water-none = No water has to be added or taken out over { GIVEN($hours_h) } h to hold { GIVEN($volume_m3) } m³ at { FIGURE($hold_pct) } % until { $until }{ $spread ->
    [some] , or up to { FIGURE($kg_high) } litres, one time in ten
   *[none] {""}
}.
room-water-add = { FIGURE($kg) } litres of water, between { FIGURE($kg_low) } and { FIGURE($kg_high) }, spread over { GIVEN($hours_h) } h, hold { GIVEN($volume_m3) } m³ at { FIGURE($hold_pct) } % until { $until }.
room-water-remove = { FIGURE($kg) } litres of water, between { FIGURE($kg_low) } and { FIGURE($kg_high) }, have to come out of the air over { GIVEN($hours_h) } h to hold { GIVEN($volume_m3) } m³ at { FIGURE($hold_pct) } % until { $until }.
room-water-fill = { FIGURE($kg) } litres of that move air, walls and the skin of the stock there, once.
room-water-buffer = Air, walls and the skin of the stock have { FIGURE($kg) } litres to spare before they are there: that is counted in.
room-water-refused = No litres are named for { FIGURE($hold_pct) } %: with { TEMPERATURE($outdoor_c) } outside, { $glazing ->
    [none] the coldest corner of an outside wall is damp enough for mould
    [single] single glass runs with condensation
   *[double] double glass runs with condensation
} from { FIGURE($limit_pct) } % RH on{ $glazing ->
    [none] {""}
   *[other] , and mould follows
}. Up to { FIGURE($most_kg) } litres stay below that, where the air draws wood to { FIGURE($emc_pct) } %. { $cooler ->
    [yes] Let the room be cooler, or wrap the stock.
   *[no] Wrap the stock.
}
room-water-ceiling = Never more than { FIGURE($most_kg) } litres: with { TEMPERATURE($outdoor_c) } outside, { $glazing ->
    [none] the coldest corner of an outside wall is damp enough for mould
    [single] single glass runs with condensation
   *[double] double glass runs with condensation
} from { FIGURE($limit_pct) } % RH on{ $glazing ->
    [none] {""}
   *[other] , and mould follows
}. That air draws wood to { FIGURE($emc_pct) } %.
room-water-already = The air that is there passes { FIGURE($limit_pct) } % RH tonight with { TEMPERATURE($outdoor_c) } outside: { $glazing ->
    [none] look behind what stands against outside walls
   *[other] wipe the panes, and keep stock away from the windows
}.
room-water-glazing = The windows are taken to be single panes, the coldest there are, until somebody says what they are.

room-extractor = Each hour that the extractor blows outdoors { $way ->
    [in] brings { FIGURE($kg) } litres of water in, between { FIGURE($kg_low) } and { FIGURE($kg_high) }.
   *[out] takes { FIGURE($kg) } litres of water out of the room, between { FIGURE($kg_low) } and { FIGURE($kg_high) }. Off while no dust is made, it takes none.
}
room-extractor-off = Off for the { GIVEN($hours_h) } h that its table has it run tonight, { FIGURE($kg) } litres are saved.
room-extractor-no-outdoors = What the extractor takes out cannot be said before something measures outdoors. It is an air change of its own: off while no dust is made.
room-extractor-no-flow = How much air the extractor blows outdoors is not told: extractor_m3_per_h of this zone, as on its plate. Off while no dust is made, it takes nothing.

room-stock = The stock there, { $lots ->
    [one] one lot
   *[other] { $lots } lots
}, { $way ->
    [still] gives and takes next to nothing tonight
    [gives] gives { FIGURE($kg) } litres to the air over { GIVEN($hours_h) } h
   *[takes] takes { FIGURE($kg) } litres out of the air over { GIVEN($hours_h) } h
}{ $way ->
    [still] {""}
   *[other] , between { FIGURE($kg_low) } and { FIGURE($kg_high) }
}, by the model.
room-stock-none = No stock that the model carries lies there.
room-stock-not-modelled = { $lots ->
    [one] One lot that lies there is
   *[other] { $lots } lots that lie there are
} not in that: the model does not carry them.

room-leak = Its own nights say that outdoor air replaces the room's { NUMBER($per_h, maximumFractionDigits: 2) } times an hour, eight times in ten between { NUMBER($low, maximumFractionDigits: 2) } and { NUMBER($high, maximumFractionDigits: 2) }: learnt from { $nights } nights.
room-leak-skins = Walls and the skin of the stock hold { FIGURE($times) } times the water that the air does, and give it back as it dries.
room-leak-no-outdoors = How leaky the room is cannot be learnt: nothing measures outdoors.
room-leak-few-nights = How leaky the room is, is not known yet: { $nights ->
    [one] one night
   *[other] { $nights } nights
} can be used, { $needed } are enough.
room-leak-nights-do-not-tell = How leaky the room is, its { $nights } nights do not tell: it hardly cools in them, or somebody feeds or dries its air.
room-leak-not-yet = How leaky the room is has not been looked at since the start: it is in a moment.
room-leak-told = Until then { NUMBER($per_h, maximumFractionDigits: 2) } air changes an hour count, as told.

room-gas = The gas that burns there without a flue, { FIGURE($gas_kg) } kg tonight, puts { FIGURE($kg) } kg of water into the air, and carbon monoxide with it.
room-caution-gas = Carbon monoxide kills without a smell: such a heater belongs outdoors or on a flue, never where people sleep, with an alarm for carbon monoxide on the wall. Follow its maker and the local code; gas lines are for a licensed person.
