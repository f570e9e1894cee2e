// One shift of the conversion, registered. The bits not yet used travel beside the digits.
module bcd_stage #(
    parameter WIDTH  = 12,
    parameter DIGITS = 4
) (
    input  wire                clk,
    input  wire                rst_n,
    input  wire [WIDTH-1:0]    bits_in,
    input  wire [4*DIGITS-1:0] digits_in,
    output reg  [WIDTH-1:0]    bits_out,
    output reg  [4*DIGITS-1:0] digits_out
);
    function [3:0] corrected(input [3:0] digit);
        corrected = digit > 4'd4 ? digit + 4'd3 : digit;
    endfunction

    reg [4*DIGITS-1:0] ready;
    integer            d;

    always @* begin
        for (d = 0; d < DIGITS; d = d + 1)
            ready[4*d +: 4] = corrected(digits_in[4*d +: 4]);
    end

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            bits_out   <= {WIDTH{1'b0}};
            digits_out <= {4*DIGITS{1'b0}};
        end else begin
            bits_out   <= bits_in << 1;
            digits_out <= {ready[4*DIGITS-2:0], bits_in[WIDTH-1]};
        end
endmodule
