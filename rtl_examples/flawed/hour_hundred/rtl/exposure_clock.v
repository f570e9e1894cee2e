// Time since reset in seconds, minutes and hours; after 99:59:59 it starts again.
module exposure_clock #(
    parameter CLK_HZ = 12_000_000
) (
    input  wire       clk,
    input  wire       rst_n,
    output wire [5:0] seconds,
    output wire [5:0] minutes,
    output wire [6:0] hours
);
    wire tick, minute, hour;

    tick_generator #(.CLK_HZ(CLK_HZ)) u_tick (.clk(clk), .rst_n(rst_n), .tick(tick));

    modulo_counter #(.WIDTH(6), .MODULO(60)) u_seconds (
        .clk(clk), .rst_n(rst_n), .enable(tick), .count(seconds), .carry(minute));

    modulo_counter #(.WIDTH(6), .MODULO(60)) u_minutes (
        .clk(clk), .rst_n(rst_n), .enable(minute), .count(minutes), .carry(hour));

    modulo_counter #(.WIDTH(7), .MODULO(101)) u_hours (
        .clk(clk), .rst_n(rst_n), .enable(hour), .count(hours), .carry());
endmodule
