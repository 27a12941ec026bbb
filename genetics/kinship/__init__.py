"""Kinship and inbreeding: of animals in a pedigree, of groups that nobody marked, and of any mixture of the two.

The kinship φ of two animals is the chance that one allele drawn at random from each, at one autosomal locus, are copies
of the same ancestral allele; the inbreeding F of an animal is the kinship of its parents (Malécot 1948; Wright 1922). An
animal's kinship with itself is (1 + F)/2. Founders without a common origin count as unrelated.
"""
