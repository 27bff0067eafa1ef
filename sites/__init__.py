"""Who is where and what grows in which plot: functions over data frames and their own open files."""
