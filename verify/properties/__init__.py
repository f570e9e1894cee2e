"""Room: properties. A design in a simulator, to be played with from a user's own Python tests."""

from verify.properties.designs import DesignSimulation
from verify.properties.opening import simulate
from verify.properties.played import Played

__all__ = ["DesignSimulation", "Played", "simulate"]
