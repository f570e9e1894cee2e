// Binary to two decimal digits, shift and add 3, between an input and an output register:
// the digits follow the binary value two clocks later.
module bin_to_bcd #(
    parameter WIDTH = 6
) (
    input  wire             clk,
    input  wire             rst_n,
    input  wire [WIDTH-1:0] bin,
    output reg  [7:0]       bcd
);
    reg [WIDTH-1:0] bin_q;
    reg [7:0]       digits;
    integer         i;

    always @(*) begin
        digits = 8'd0;
        for (i = WIDTH - 1; i >= 0; i = i - 1) begin
            if (digits[3:0] > 4'd4) digits[3:0] = digits[3:0] + 4'd3;
            if (digits[7:4] > 4'd4) digits[7:4] = digits[7:4] + 4'd3;
            digits = {digits[6:0], bin_q[i]};
        end
    end

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            bin_q <= {WIDTH{1'b0}};
            bcd   <= 8'd0;
        end else begin
            bin_q <= bin;
            bcd   <= digits;
        end
endmodule
