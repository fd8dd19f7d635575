"""Does the distance to the required HLB tell emulsions that failed from those that held?"""
