// The observatory's exposure timer: 00:00:00 to 99:59:59 on six digits, 12 MHz oscillator.
module exposure_timer #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire       clk,
    input  wire       rst_n,
    output wire [6:0] hour_tens,
    output wire [6:0] hour_ones,
    output wire [6:0] min_tens,
    output wire [6:0] min_ones,
    output wire [6:0] sec_tens,
    output wire [6:0] sec_ones
);
    wire [5:0] seconds, minutes;
    wire [6:0] hours;
    wire [7:0] seconds_bcd, minutes_bcd, hours_bcd;
    reg  [7:0] minutes_q;

    exposure_clock #(.CLK_HZ(CLK_HZ)) u_clock (
        .clk(clk), .rst_n(rst_n), .seconds(seconds), .minutes(minutes), .hours(hours));

    bin_to_bcd #(.WIDTH(6)) u_seconds_bcd (.clk(clk), .rst_n(rst_n), .bin(seconds), .bcd(seconds_bcd));
    bin_to_bcd #(.WIDTH(6)) u_minutes_bcd (.clk(clk), .rst_n(rst_n), .bin(minutes), .bcd(minutes_bcd));
    bin_to_bcd #(.WIDTH(7)) u_hours_bcd   (.clk(clk), .rst_n(rst_n), .bin(hours),   .bcd(hours_bcd));

    always @(posedge clk or negedge rst_n)
        if (!rst_n) minutes_q <= 8'd0;
        else        minutes_q <= minutes_bcd;

    seven_segment u_sec_ones  (.digit(seconds_bcd[3:0]), .segments(sec_ones));
    seven_segment u_sec_tens  (.digit(seconds_bcd[7:4]), .segments(sec_tens));
    seven_segment u_min_ones  (.digit(minutes_q[3:0]), .segments(min_ones));
    seven_segment u_min_tens  (.digit(minutes_q[7:4]), .segments(min_tens));
    seven_segment u_hour_ones (.digit(hours_bcd[3:0]),   .segments(hour_ones));
    seven_segment u_hour_tens (.digit(hours_bcd[7:4]),   .segments(hour_tens));
endmodule
