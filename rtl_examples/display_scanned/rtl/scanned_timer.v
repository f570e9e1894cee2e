// Minutes and seconds on a scanned four-digit display; each digit is served 250 times a second.
module scanned_timer #(
    parameter CLK_HZ = 12_000_000,
    parameter DWELL  = 12_000
) (
    input  wire       clk,
    input  wire       rst_n,
    output wire [6:0] segments,
    output wire [3:0] select
);
    wire [15:0] digits;

    mmss_counter #(.CLK_HZ(CLK_HZ)) u_time (.clk(clk), .rst_n(rst_n), .digits(digits));

    scanner #(.DWELL(DWELL)) u_scan (
        .clk(clk), .rst_n(rst_n), .digits(digits), .select(select), .segments(segments));
endmodule
