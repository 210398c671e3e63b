from kit.methods.stacks import Stacks

LADDER = Stacks()
