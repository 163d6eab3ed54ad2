-- Fills the catalogue with the settings that most chairs have.
-- Bounds are 0 to 100 on the chair's own scale (common practice, no source); a club adds its own settings as rows.
-- Old rows: none are touched.

insert into catalogue (entry, setting, unit, low, high, meaning)
values
('forward_speed_max', 'forward_speed_max', '1', 0, 100, 'speed driving forward, with the speed dial at its top'),
('forward_speed_min', 'forward_speed_min', '1', 0, 100, 'speed driving forward, with the speed dial at its bottom'),
('reverse_speed_max', 'reverse_speed_max', '1', 0, 100, 'speed driving backward, with the speed dial at its top'),
('reverse_speed_min', 'reverse_speed_min', '1', 0, 100, 'speed driving backward, with the speed dial at its bottom'),
('turn_speed_max', 'turn_speed_max', '1', 0, 100, 'speed of turning, with the speed dial at its top'),
('turn_speed_min', 'turn_speed_min', '1', 0, 100, 'speed of turning, with the speed dial at its bottom'),
('acceleration_max', 'acceleration_max', '1', 0, 100, 'how quickly the chair picks up speed, with the speed dial at its top'),
('acceleration_min', 'acceleration_min', '1', 0, 100, 'how quickly the chair picks up speed, with the speed dial at its bottom'),
('deceleration_max', 'deceleration_max', '1', 0, 100, 'how quickly the chair slows down; lower needs more room to stop, with the speed dial at its top'),
('deceleration_min', 'deceleration_min', '1', 0, 100, 'how quickly the chair slows down; lower needs more room to stop, with the speed dial at its bottom'),
('turn_acceleration_max', 'turn_acceleration_max', '1', 0, 100, 'how quickly a turn builds up, with the speed dial at its top'),
('turn_acceleration_min', 'turn_acceleration_min', '1', 0, 100, 'how quickly a turn builds up, with the speed dial at its bottom'),
('turn_deceleration_max', 'turn_deceleration_max', '1', 0, 100, 'how quickly a turn dies away, with the speed dial at its top'),
('turn_deceleration_min', 'turn_deceleration_min', '1', 0, 100, 'how quickly a turn dies away, with the speed dial at its bottom'),
('throw_forward', 'throw_forward', '%', 0, 100, 'how far the joystick must go forward before the command is full'),
('throw_reverse', 'throw_reverse', '%', 0, 100, 'how far the joystick must go reverse before the command is full'),
('throw_left', 'throw_left', '%', 0, 100, 'how far the joystick must go left before the command is full'),
('throw_right', 'throw_right', '%', 0, 100, 'how far the joystick must go right before the command is full'),
('deadband', 'deadband', '%', 0, 100, 'how far the joystick may move from its centre before anything happens');
