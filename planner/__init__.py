"""Spool to Stall: orders, ribbon and craft fairs for one maker of hair bows."""
