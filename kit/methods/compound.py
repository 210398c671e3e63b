from kit.methods.stacks import Stacks

COMPOUND = Stacks()
