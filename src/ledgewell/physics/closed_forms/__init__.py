"""Closed forms of well hydraulics: what a hydrogeologist would check the engine against.

Each module holds one family, in SI floats and arrays, and a function that says where the form holds:

=====================  ====================================================================================
module                 holds
=====================  ====================================================================================
``theis``              constant rate from a line: Theis and Cooper-Jacob; ``theis_fit`` fits them
``hand_methods``       Thiem, matched points of the type curve, Chow
``finite_radius``      constant rate from a well of finite radius that stores nothing
``radial_flow``        generalized radial flow of any dimension from 1 to 3, with skin and stored water
``large_diameter``     Papadopulos-Cooper: radial flow with stored water and skin
``recovery``           Theis recovery, the equivalent time of Agarwal, inflow from a rise
``superposition``      any step response under a rate that changes by steps
``step_test``          s = BQ + CQ²: step correction, Hantush-Bierschenk, Eden-Hazel
``well_loss``          Walton's coefficient, stored share of a step
``slug``               Cooper-Bredehoeft-Papadopulos
``slug_line``          Hvorslev, Bouwer and Rice
``derivative``         slope of the level against the logarithm of time after Bourdet
``specific_capacity``  transmissivity from one rate and one drawdown
``inversion``          Laplace inversion: Stehfest and fixed Talbot
=====================  ====================================================================================
"""

from ledgewell.physics.closed_forms.validity import Validity

__all__ = ["Validity"]
