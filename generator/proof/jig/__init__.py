"""The jig with hands: whether every piece goes in, holds, clears the bench and can be reached. No CAD kernel."""
