"""What the simulator's animals are like: one frozen record of life-history numbers per strain.

These numbers belong to the simulator alone. They are chosen so that a vessel behaves as the literature describes,
and none is read from, or shared with, the profiles that the program judges by. Where no source is named, a value is
invented for the simulator.
"""

from __future__ import annotations

from rackview.core.dataclass import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Animal:
    """The life of one strain at `usual_c`. Times in days, food in micrograms of dry algae.

    Attributes
    ----------
    usual_c, q10 : temperature at which the times hold, and how rates change per 10 degC
    cold_c, hot_c : outside these the animals come to harm
    egg_days : from laying to hatching; eggs are carried
    young_days, half_grown_days : two young stages; nauplii and copepodites in copepods, both juveniles in rotifers
    adult_days : mean life as an adult when nothing is wrong
    young_loss : deaths per day among the young when nothing is wrong
    eggs_per_day : eggs laid per adult (both sexes where there are two) and day at plenty, with room
    room_per_ml, crowding : laying falls as 1 / (1 + (density / room) ** crowding)
    appetite_ug, half_food_ug_ml : most eaten per animal and day, and food per mL at which half of that is eaten
    ration_ug : intake per animal and day at which laying is near its best
    oxygen_ug : oxygen used per animal and day
    females : share of adults that can carry eggs
    clutch : eggs carried together
    """

    usual_c: float
    q10: float
    cold_c: float
    hot_c: float
    egg_days: float
    young_days: float
    half_grown_days: float
    adult_days: float
    young_loss: float
    eggs_per_day: float
    room_per_ml: float
    crowding: float
    appetite_ug: float
    half_food_ug_ml: float
    ration_ug: float
    oxygen_ug: float
    females: float
    clutch: float


ROTIFER_L = Animal(
    usual_c=25.0,
    q10=1.9,  # filtration +42 % from 18 to 23.5 degC: Schlosser and Anger 1982
    cold_c=16.0,
    hot_c=30.0,
    egg_days=0.6,  # common practice, no source
    young_days=0.4,  # 0.5 to 1.5 days from hatching to adult at 25 degC: FAO TP 361, 3.3
    half_grown_days=0.5,
    adult_days=4.5,  # lives 3.4 to 4.4 days at 25 degC: FAO TP 361, 3.3
    young_loss=0.05,
    eggs_per_day=1.75,
    room_per_ml=185.0,
    crowding=2.0,
    appetite_ug=1.1,
    half_food_ug_ml=10.0,
    ration_ug=0.5,  # 0.2 to 2 g per million and day by four routes: Attramadal 1993, Navarro 1999
    oxygen_ug=0.17,
    females=1.0,
    clutch=1.0,
)

ROTIFER_S = Animal(
    usual_c=27.0,
    q10=1.9,
    cold_c=19.0,
    hot_c=34.0,  # S type grows best at 28 to 35 degC: FAO TP 361, 3.4
    egg_days=0.5,
    young_days=0.35,
    half_grown_days=0.4,
    adult_days=4.0,
    young_loss=0.05,
    eggs_per_day=2.2,
    room_per_ml=235.0,
    crowding=2.0,
    appetite_ug=0.8,
    half_food_ug_ml=10.0,
    ration_ug=0.36,
    oxygen_ug=0.11,
    females=1.0,
    clutch=1.0,
)

ROTIFER_SS = Animal(
    usual_c=27.0,
    q10=1.9,
    cold_c=20.0,
    hot_c=34.0,
    egg_days=0.5,
    young_days=0.35,
    half_grown_days=0.4,
    adult_days=4.0,
    young_loss=0.05,
    eggs_per_day=2.15,
    room_per_ml=280.0,
    crowding=2.0,
    appetite_ug=0.65,
    half_food_ug_ml=10.0,
    ration_ug=0.29,
    oxygen_ug=0.09,
    females=1.0,
    clutch=1.0,
)

COPEPOD_BENTHIC = Animal(
    usual_c=24.0,
    q10=2.0,
    cold_c=12.0,
    hot_c=29.0,
    egg_days=2.0,
    young_days=4.0,  # nauplii 80 h, copepodites 157 h at 18 degC in Tisbe furcata, Cambridge University Press
    half_grown_days=5.0,
    adult_days=20.0,
    young_loss=0.05,
    eggs_per_day=3.2,
    room_per_ml=5.5,
    crowding=1.5,
    appetite_ug=2.6,
    half_food_ug_ml=6.0,
    ration_ug=1.2,
    oxygen_ug=0.6,
    females=0.5,
    clutch=6.0,
)

COPEPOD_PELAGIC = Animal(
    usual_c=26.0,
    q10=2.0,
    cold_c=18.0,
    hot_c=31.0,
    egg_days=1.0,
    young_days=3.0,  # nauplius 2 to 3 days in Apocyclops panamensis: Hue University J. Sci.
    half_grown_days=4.0,
    adult_days=12.0,
    young_loss=0.07,
    eggs_per_day=6.0,  # 5.5 eggs per female and day, the same study
    room_per_ml=1.25,  # laying collapses between 0.25 and 8 adults per mL in Parvocalanus: Kline and Laidley 2015
    crowding=1.5,
    appetite_ug=2.6,
    half_food_ug_ml=6.0,
    ration_ug=1.2,
    oxygen_ug=0.6,
    females=0.5,
    clutch=6.0,
)

ANIMALS: dict[str, Animal] = {
    "rotifer-L": ROTIFER_L,
    "rotifer-S": ROTIFER_S,
    "rotifer-SS": ROTIFER_SS,
    "copepod-benthic": COPEPOD_BENTHIC,
    "copepod-pelagic": COPEPOD_PELAGIC,
    "mixed": ROTIFER_L,
}
"""The simulator's animal by the strain's name; a mixed vessel is simulated as large rotifers."""
