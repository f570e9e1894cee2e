// Fourteen bits to five digits by plain arithmetic, one output register, synchronous reset.
`default_nettype none
module decimal_digits #(
    parameter int BITS = 14
) (
    input  wire logic            clk_i,
    input  wire logic            reset_i,
    input  wire logic [BITS-1:0] value_i,
    output logic [4:0][3:0]      digits_o
);
    logic [4:0][3:0] digits;

    always_comb begin
        int unsigned rest;
        rest = 32'(value_i);
        for (int d = 0; d < 5; d++) begin
            digits[d] = 4'(rest % 10);
            rest      = rest / 10;
        end
    end

    always_ff @(posedge clk_i)
        if (reset_i) digits_o <= '0;
        else         digits_o <= digits;
endmodule
`default_nettype wire
