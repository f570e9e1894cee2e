"""Room: design. What is written in the source files, elaborated; nothing is run."""

from verify.design.interface import Design, Module, Parameter, Port, Register, UnsafeConstruct
from verify.design.read import read_design

__all__ = ["Design", "Module", "Parameter", "Port", "Register", "UnsafeConstruct", "read_design"]
