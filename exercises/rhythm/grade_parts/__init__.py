"""What a grade is made of: marks for one line, for a pair of lines, and for all four together.

Every mark is a whole number of thousandths of a point, so that sums are exact.
"""
