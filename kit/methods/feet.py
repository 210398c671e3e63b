from kit.methods.stacks import Stacks

FEET = Stacks()
