// A new value on every clock, its digits WIDTH clocks later.
module bcd_pipeline #(
    parameter WIDTH  = 12,
    parameter DIGITS = 4
) (
    input  wire                clk,
    input  wire                rst_n,
    input  wire [WIDTH-1:0]    bin,
    output wire [4*DIGITS-1:0] bcd
);
    wire [WIDTH-1:0]    bits   [0:WIDTH];
    wire [4*DIGITS-1:0] digits [0:WIDTH];

    assign bits[0]   = bin;
    assign digits[0] = {4*DIGITS{1'b0}};

    genvar i;
    generate
        for (i = 0; i < WIDTH; i = i + 1) begin : stage
            bcd_stage #(.WIDTH(WIDTH), .DIGITS(DIGITS)) u_stage (
                .clk(clk), .rst_n(rst_n),
                .bits_in(bits[i]), .digits_in(digits[i]),
                .bits_out(bits[i+1]), .digits_out(digits[i+1]));
        end
    endgenerate

    assign bcd = digits[WIDTH];
endmodule
