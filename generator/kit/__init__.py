"""The kit: everything one job's folder holds, written group by group and put in place whole."""
