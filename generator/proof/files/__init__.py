"""Do the written files say the same?"""
