"""Courses, exams, progress and what comes back."""
